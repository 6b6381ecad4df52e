// Rod readings of two structures that look written down for each other.
#pragma once

#include <vector>

#include "grade/flow.hpp"
#include "grade/screening.hpp"

namespace sondeline::grade {

// Two structures that were read once each, from one setup, trade their grounds when their readings
// are exchanged, and every invert taped there moves by the difference. Each pair is weighed as
// written and exchanged, in all runs that meet either, over all the grades, breaks and sags that
// these may have, and looks exchanged where
//  - the depths along the runs, and the heights of the ground along them for e⁴ at most, speak for
//    it by a Bayes factor of 90 or more: ln of the factor is N(−δ²/2, δ²) where nothing was
//    exchanged, δ the standardised difference, so that this happens to 1 in 700 pairs at most, and
//    a house has some ten;
//  - or a run that should fall surely rises as written, and the depths do not speak against the
//    exchange by e² or more;
// and where, exchanged, every run falls as drains do, none steeper than 1 in 8, the heights of the
// ground do not speak against it by e² or more, and one height that is simply wrong (by 30 cm, one
// standard deviation) does not explain the depths better. Up to three pairs that would do nearly as
// well are named with it; of more, none.
//
// No height of such a pair is then relied on: the ground there counts as halfway between its
// readings, with half their difference, times √2, as a further error, so that the bounds of every
// figure hold both, and a finding says so. Of 40 made sites with two readings exchanged and fixes
// good to 5 cm 37 are named, of 600 with none exchanged none (exchanged_heights_test.cpp). `runs`
// and `flows` are those of `lines`, in the same order. Structures so doubted, as indices into
// Lines::structures, rising.
std::vector<int> doubt_exchanged_heights(const Lines& lines, const std::vector<Flow>& flows,
                                         const std::vector<HeightReadOnce>& read_once,
                                         std::vector<RunRows>& runs);

}  // namespace sondeline::grade
