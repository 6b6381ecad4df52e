// What passes the lens, by the counter: dark rings, sudden turns, changes of light.
#pragma once

#include <span>

#include "sondeline/footage.hpp"

#include "footage/water/water_look.hpp"

namespace sondeline {

// Sets the track's marks and its row of joints, and says where to look. Nothing without a counter,
// and nothing when the picture does not pass as the counter says.
void keep_marks(std::span<const WaterLook> looks, Track& track);

}  // namespace sondeline
