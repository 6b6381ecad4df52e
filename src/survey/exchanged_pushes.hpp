// Two runs whose clips, or whose fixes, were exchanged: told by how far the fixes go.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Where two fixes or more of a run lie beyond its footage, and just one other run has footage that
// goes as far as these do and fixes that go as far as that of the first, each up to one spacing of
// fixes, while its own fixes stop short of its footage by more than that, one caution names the
// two. Nothing is changed: a clip may be missing as well. `reels` in the order of Job::runs.
void tell_exchanged_pushes(const Job& job, const std::vector<ReelReading>& reels, LengthUnit unit,
                           Findings& findings);

}  // namespace sondeline
