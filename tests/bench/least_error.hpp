// The least error that any unbiased estimate could have on an invented job whose pipes are what the
// adjustment takes them for: the Cramér–Rao bound, with the priors' information, at the true shape,
// knowing how many bends there are and which fixes are wrong.
#pragma once

#include "made/random_jobs.hpp"

namespace sondeline::bench {

// Whether the bends of a run can be told from its fixes at all: the least number of good positions
// (fixes, surveyed ends) on any leg between start, bends and end.
int least_positions_on_a_leg(const made::RandomJob& job, std::size_t run);

// Mean square of the error in plan at each of the nominal stations, by run.
std::vector<std::vector<double>> least_squares_m2(const made::RandomJob& job,
                                                  const std::vector<std::vector<double>>& x_m);

}  // namespace sondeline::bench
