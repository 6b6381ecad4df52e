// Taped inverts that look written down for each other.
#pragma once

#include <vector>

#include "grade/flow.hpp"
#include "grade/screening.hpp"

namespace sondeline::grade {

// Two taped inverts may have been exchanged: those at the two ends of one run, or those of a pipe
// that brings water to a structure and of one that takes it away, where inlet and outlet of one
// tank may be two points 5 m apart at most. Either pair is weighed as written and exchanged, over
// all the grades, breaks and sags that the runs may have. It looks exchanged where
//  - the depths along the runs speak for the exchange by a Bayes factor of e² or more, or
//  - as written the run falls the wrong way, or a pipe leaves higher than another comes in,
//    exchanged it does not, and the depths do not speak against the exchange by as much,
// and where one tape that is simply wrong (by 30 cm, one standard deviation) does not explain the
// depths better; by as much, where the exchange cures a wrong fall. With δ the standardised
// difference of the two readings, ln of the factor is N(−δ²/2, δ²) where nothing was exchanged, so
// that the first happens to at most 2.3 in 100 such pairs.
//
// Neither reading is then relied on: each tape counts as the mean of the two, with half their
// difference as a further error, so that the bounds of every figure hold both, and a finding says
// what each would mean. Pairs that differ by less than 2 cm are left alone, and so are runs without
// known ground. `runs` and `flows` are those of `lines`, in the same order.
void doubt_exchanged_tapes(const Lines& lines, const std::vector<Flow>& flows,
                           std::vector<RunRows>& runs);

}  // namespace sondeline::grade
