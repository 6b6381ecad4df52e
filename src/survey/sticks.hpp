// Joints as a ruler: what the sticks of a run's pipe say of its counter.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Metres of pipe per metre of the counter: the typed length of a stick over the spacing of the
// joints that the footage shows, or of every second or third of them. How far a pipe is pushed home
// makes sticks differ by 8 mm, and their make by 0.2 % (one standard deviation; common practice, no
// source). Empty, with a finding, where no even row of joints is plain or its spacing is no whole
// number of sticks within 4.5 %, further than reels are off; empty without a typed length.
// `unit` is that of the findings.
std::optional<Estimate> scale_by_sticks(const Run& run, const ReelReading& reel, LengthUnit unit,
                                        Findings& findings);

}  // namespace sondeline
