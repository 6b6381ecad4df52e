// What stands beside the counter and is kept: the running clock, the date, an inclination figure.
#pragma once

#include "footage/counter_choice.hpp"

namespace sondeline {

// Sets the track's clock, its grade log (once its samples are there) and says what was seen but
// cannot be used.
void keep_company(const SpanReading& reading, const CounterChoice& counter, Track& track);

}  // namespace sondeline
