// Every note at its station.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// The notes that lie on a run, in the order of Job::notes; `reels` in that of Job::runs. One that
// has no place, or lies beyond the ends of its run, is left out with a finding. One that begins on
// the run and reaches past its end is placed where it begins, without a far end, with a finding.
std::vector<SiteNote> place_notes(const Job& job, const std::vector<ReelReading>& reels,
                                  LengthUnit unit, Findings& findings);

}  // namespace sondeline
