// What the looks of a clip say together: the stretches in which water stands.
#pragma once

#include <span>

#include "sondeline/footage.hpp"

#include "footage/water/water_look.hpp"

namespace sondeline {

// Sets `track.water` and adds what has to be told; without a counter nothing is said. What pushing
// and retrieving show of one place must agree, else nothing is claimed there and a finding says so.
void keep_water(std::span<const WaterLook> looks, Track& track);

}  // namespace sondeline
