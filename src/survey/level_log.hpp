// The camera's own level as observations of how the invert falls.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Observations of kind level_log of one run: the readings of the footage, else those of the table
// `grade`, gathered in pieces of half a metre of the counter (longer in runs over 100 m). Each
// piece gives the fall over it by the middle reading, sign as shown, with the standard deviation of
// that middle; what all pieces of a log share, the level's zero, is not in it. Readings steeper
// than 30 % are left out: there the head hangs in a drop or lies on a step.
std::vector<VerticalObservation> level_log_of(const Job& job, const Run& run,
                                              const ReelReading& reel);

}  // namespace sondeline
