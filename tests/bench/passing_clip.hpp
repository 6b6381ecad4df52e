// The clips that marks along the pipe are measured on: a head that is pushed ten metres and more
// through a pipe laid of sticks of one length, with fittings that turn and a change of light, drawn
// by seed on top of the looks of water_clip.hpp. Everything here is invented.
#pragma once

#include <vector>

#include "bench/water_clip.hpp"

namespace sondeline::bench {

struct PassingClip {
    WaterClip look;                  // its scenario; without drawn water
    double lay_length_m = 0.0;       // from joint to joint; 0: none but at the fittings
    std::vector<double> joints_m;    // true stations, fittings' sockets included
    std::vector<double> turns_m;     // middles of the fittings
    std::optional<double> darker_m;  // from here on the wall is darker
    double last_m = 0.0;             // as far as the head is pushed
};

// The clip of this number; every fourth has no joints, every third becomes darker on the way.
PassingClip passing_clip(Half half, std::uint64_t number);

}  // namespace sondeline::bench
