// Whether what a locator is off by is the same all along a run or wanders, as soil and other metal
// change: the depths tell, where they are many or good; else what is thought before stands.
#pragma once

#include <vector>

#include "grade/rows.hpp"

namespace sondeline::grade {

// Sets `wander` and `tape_odds` of the runs. One receiver reads all depths of a site and meets the
// same soil, so that one size holds for all: with evidence e_r(s) of run r under size s, P(s) is in
// proportion to p(s)·Π e_r(s), and the share is the mean of s² under it, which leaves bounds the
// variance they have when averaged over the sizes (Hoeting et al., Bayesian Model Averaging,
// Statistical Science 14, 1999, eq. 1). e_r is itself averaged over no break and no sag, one break,
// and one sag, and over sound tapes and one that is off (tape_slips.hpp), so that none of them is
// taken for wander; the odds of each tape come from the same average. Runs whose heights are
// unknown, or whose tapes and depths contradict, tell nothing.
void settle_locator_wander(std::vector<RunRows>& runs);

}  // namespace sondeline::grade
