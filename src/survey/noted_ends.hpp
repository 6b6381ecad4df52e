// Notes that say where a run ends, held against how far its footage went.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Whether the counter of a note of the run's end is that of its furthest reading, within what a
// counter written down may be off. Empty when there is nothing to compare: another note, no counter
// written, none read, or one that was set anew on the way.
std::optional<bool> end_fits(const Note& note, const ReelReading& reel);

// Notes filed under a run that they are not of.
struct MisfiledNotes {
    std::size_t end = 0;             // index into Job::notes: the end of `other`
    std::vector<std::size_t> notes;  // it and those written down before it in one row, rising
    std::size_t other = 0;           // index into Job::runs
};

// What is seen on one push is written down in a row, up to its end. Where a note says that a run
// ends where its footage goes on, another note of its end fits, and the footage of just one other
// run, of whose end nothing is noted, goes just as far, the note is that other run's; so are the
// notes of the same name that stand before it, back to the note of an end or of another run.
std::vector<MisfiledNotes> notes_of_another_run(const Job& job,
                                                const std::vector<ReelReading>& reels);

// Where the notes of two runs each fit the footage of the other, and none its own, neither clip is
// read for its run: no length, no place of its pictures. Told by tell_ends_noted_elsewhere, which
// needs the reels as they were.
void leave_out_exchanged_clips(const Job& job, std::vector<ReelReading>& reels);

// A finding for every note of notes_of_another_run's ends, which names its rows, and one for every
// note of a run's end that does not fit, where no other of that run does. Where
// the footage of just one other run went as far as the note says, and no note of that run fits, the
// finding names it: the clips of the two may be exchanged. Two runs that name each other share one
// finding. `reels` in the order of Job::runs.
void tell_ends_noted_elsewhere(const Job& job, const std::vector<ReelReading>& reels,
                               Findings& findings);

}  // namespace sondeline
