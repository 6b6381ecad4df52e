// Depths at the ends of a run that all others contradict.
#pragma once

#include "grade/rows.hpp"

namespace sondeline::grade {

// The outermost depth of a run has neighbours on one side only: a pipe that drops there looks like
// a depth that was misread, and no bound can tell the two apart. Where the others, four at least,
// lie on one grade and the first or last depth by locator or probe lies off it by more than chance
// and by about a whole foot or decimetre, a finding names it and both readings of it. The depth
// stays in use. Runs without ground elevations have none.
void tell_slipped_end_depths(const RunId& id, RunRows& run);

}  // namespace sondeline::grade
