// The two shores of water followed from look to look: one look alone shows many edges, but only
// shores go on together along the pipe.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "footage/water/wall_profile.hpp"

namespace sondeline {

// Directions between which the surface lies, clockwise, in steps of the unrolled picture.
struct ShorePair {
    int from = 0;
    int to = 0;           // more than `from`; may be past the last direction
    double weight = 0.0;  // what this look adds for the pair, see shore_track.cpp
};

// `profiles`: in time order; null where no pipe was seen. Empty where no pair fits. Takes 12 kB a
// look while it runs.
std::vector<std::optional<ShorePair>> track_shores(std::span<const WallProfile* const> profiles);

}  // namespace sondeline
