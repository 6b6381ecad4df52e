// The two shores of water in the unrolled picture: straight edges along the pipe, one on either
// side, with an even surface between them.
#pragma once

#include <optional>

#include "footage/water/unrolled.hpp"

namespace sondeline {

struct Shores {
    double down_rad = 0.0;  // direction of the middle between them, clockwise from the right
    double half_rad = 0.0;  // from the middle to either shore, near the lens
    double edge = 0.0;      // how much darker the surface is at the weaker shore, natural logarithm
    double steady = 0.0;    // share of distances at which it is so, at the weaker shore
    double sharp = 0.0;     // of that step, the share within three directions, at the weaker shore
    double even = 1.0;      // changes across the surface between them over those of the wall
    // How much darker the surface is far off over how much near the lens. A stained wall is as much
    // darker everywhere; water shows more of the wall above it the flatter it is looked at.
    std::optional<double> far_over_near;
};

// The likeliest pair; empty when no two edges lie so.
std::optional<Shores> find_shores(const Unrolled& wall);

}  // namespace sondeline
