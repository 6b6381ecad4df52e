// Depths at the ends of a run that all others contradict.
#pragma once

#include "grade/screening.hpp"

namespace sondeline::grade {

// The outermost depth of a run has neighbours on one side only: a pipe that drops there looks like
// a depth that was misread, and no bound can tell the two apart. Where the others, four at least,
// lie on one grade and the first or last depth by locator or probe lies off it by more than chance
// and by about a whole foot or decimetre, a finding names it and both readings of it. The depth
// stays in use. Runs without ground elevations have none.
void tell_slipped_end_depths(const RunId& id, RunRows& run);

// The same of an invert that was taped at an end: where it lies 15 cm or more off the grade of all
// others and more than chance allows, this is its row. The tape is as good as the others together,
// so that no figure can be given from either.
std::optional<Row> contradicted_end_tape(const RunRows& run, const Screening& screening);

// How far such a row is off, and "A tape or a rod off by 1 ft would explain it." where one would.
std::string end_tape_words(const RunRows& run, const Screening& screening, const Row& tape);

}  // namespace sondeline::grade
