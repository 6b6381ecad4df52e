// Fixes given by clock, should the clocks of receiver and camera differ.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// The nominal stations of a moment `video_time_s` into the footage, setback taken off, for camera
// clocks up to five minutes ahead or behind. A camera ahead by Δ shows the moment Δ later.
ClockCourse clock_course(const ReelReading& reel, double video_time_s, double setback_m);

// Spread of the station for a moment known to within `doubt_s` either way: how far the head
// is from there at either end of that, with the reading of the counter.
double station_sd_m(const ReelReading& reel, double video_time_s, double doubt_s);

}  // namespace sondeline
