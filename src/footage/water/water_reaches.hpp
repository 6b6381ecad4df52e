// Where along the pipe the looks of a clip would have shown standing water, had there been any.
#pragma once

#include <span>
#include <vector>

#include "footage/water/placed_looks.hpp"

namespace sondeline {

// `looks`: placed, in any order; `claimed`: what was made of them. A reach is where the pipe was
// seen from look to look; its sure share is set where the pictures of the two metres of pipe about
// it are plain enough. By rising counter, none upon another.
std::vector<WaterReach> water_reaches(std::span<const PlacedLook> looks, const LensPlace& lens,
                                      double metres_per_count,
                                      std::span<const WaterStretch> claimed);

}  // namespace sondeline
