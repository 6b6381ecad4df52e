// Notes that say where a run ends, held against how far its footage went.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Whether the counter of a note of the run's end is that of its furthest reading, within what a
// counter written down may be off. Empty when there is nothing to compare: another note, no counter
// written, none read, or one that was set anew on the way.
std::optional<bool> end_fits(const Note& note, const ReelReading& reel);

// A finding for every note of a run's end that does not fit, where no other of that run does. Where
// the footage of just one other run went as far as the note says, and no note of that run fits, the
// finding names it: the clips of the two may be exchanged. Two runs that name each other share one
// finding. `reels` in the order of Job::runs.
void tell_ends_noted_elsewhere(const Job& job, const std::vector<ReelReading>& reels,
                               Findings& findings);

}  // namespace sondeline
