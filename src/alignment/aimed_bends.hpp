// Bends that would bring the line to fixes it now rejects. A fix on a short leg, or the only one
// beyond a bend, is otherwise easily taken for an error: from the line without the bend no small
// step leads to it.
#pragma once

#include "alignment/solve.hpp"

namespace sondeline::alignment {

// States with one to three bends more, for a problem of one run: the first, before a rejected fix,
// turns the line onto it; the second, after it, onto the next fix; the third onto the one after
// that. No state has more than `most_bends`.
std::vector<State> aimed_at_rejected(const Problem& problem, const State& state,
                                     std::size_t most_bends);

// States with one bend more, between a structure that the line overshoots by more than a pipe lies
// from one and the fix next to it: the bend brings the line to where the rest of the job has the
// structure. A bend near an end shortens the way there rather than swinging it aside, which from a
// straight line no small step shows.
std::vector<State> aimed_at_structures(const Problem& problem, const State& state,
                                       std::size_t most_bends);

}  // namespace sondeline::alignment
