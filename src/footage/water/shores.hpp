// The two shores of water in one look: straight edges along the pipe, one on either side, with an
// even surface between them.
#pragma once

#include <optional>

#include "footage/water/shore_track.hpp"
#include "footage/water/wall_profile.hpp"

namespace sondeline {

struct Shores {
    double down_rad = 0.0;  // direction of the middle between them, clockwise from the right
    double half_rad = 0.0;  // from the middle to either shore, near the lens
    double edge = 0.0;      // how much darker the surface is at the weaker shore, natural logarithm
    double steady = 0.0;    // share of distances at which it is so, at the weaker shore
    double sharp = 0.0;     // of that step, the share within one direction, at the weaker shore
    double even = 1.0;      // changes across the surface between them over those of the wall
    // How much darker the surface is far off over how much near the lens. A stained wall is as much
    // darker everywhere; water shows more of the wall above it the flatter it is looked at.
    std::optional<double> far_over_near;
    double plain = 0.0;    // step at the weaker shore over the usual step of the wall
    double plainer = 0.0;  // the same at the other one
    double weight = 0.0;   // see ShorePair
};

// What a look shows at the pair that was followed to it.
Shores shores_at(const WallProfile& profile, const ShorePair& pair);

}  // namespace sondeline
