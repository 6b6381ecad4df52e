// What one look shows direction by direction about the vanishing point: where the light steps, and
// how bright and how lively the wall is.
#pragma once

#include <array>
#include <optional>

#include "footage/water/unrolled.hpp"

namespace sondeline {

using Round = std::array<float, unrolled_directions>;

// Near: the outer half of the radii, where water is met first. About 3 kB.
struct WallProfile {
    // Change of light across a direction near the lens, over the usual light at that distance:
    // positive where it rises clockwise. Light that is added (glare) does not change it.
    Round step{};
    Round steady{};    // share of near distances at which it changes that way
    Round narrow{};    // the same change within the nearest directions only
    Round log_step{};  // the same change in the natural logarithm of light
    Round bustle{};    // mean square change of the logarithm from one direction to the next
    Round near_light{}, near_places{};  // sums of light above the dark, and of how many places
    Round far_light{}, far_places{};
    // Share of the wall's detail that passes the lens as the wall does, 0…1; empty while the head
    // stands, and on a wall without marks.
    std::optional<Round> passes;
    float usual_step = 0.0F;  // of the wall: 1.4826 times the median of |step|
};

WallProfile profile_of(const Unrolled& wall);

}  // namespace sondeline
