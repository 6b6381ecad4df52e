// What one look shows direction by direction about the vanishing point: where the light steps, and
// how bright and how lively the wall is.
#pragma once

#include <array>
#include <optional>

#include "footage/water/shore_evidence.hpp"
#include "footage/water/wall_steps.hpp"

namespace sondeline {

// About 9 kB.
struct WallProfile {
    WallSteps steps;  // along the line, turned or not, that speaks most for a shore
    std::array<ShoreEvidence, shore_turns> shores{};  // see turn_of
    Round bustle{};  // mean square change of the logarithm from one direction to the next
    Round near_light{}, near_places{};  // sums of light above the dark, and of how many places
    Round far_light{}, far_places{};
    // Share of the wall's detail that passes the lens as the wall does, 0…1; empty while the head
    // stands, and on a wall without marks.
    std::optional<Round> passes;
    float usual_step = 0.0F;  // of the wall: 1.4826 times the median of |step|, none of them turned
};

// `dark`: grey level of the darkest part of the picture.
WallProfile profile_of(const Unrolled& wall, float dark);

}  // namespace sondeline
