// When the footage of a run began, where its table does not say and fixes are given by clock.
#pragma once

#include "sondeline/pipeline.hpp"

namespace sondeline {

// Fills in footage_start_s of the runs that leave it open and have fixes given by clock: from the
// clock that the overlay of the first clip shows, on the job's date (else on the overlay's). A
// finding says so. `tracks` as Job::footage.
//
// Withheld, with a finding: where the picture shows no clock (the container's creation time is told
// as something to compare with, never used), where a 12-hour clock leaves open which half of the
// day it is and the fixes' clocks do not settle it, where no date is known, and where a run's clips
// do not follow one another without a gap, since times are counted through them as if they did.
Job with_footage_start(Job job, const std::vector<Track>& tracks);

}  // namespace sondeline
