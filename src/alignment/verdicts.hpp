// Which positions to believe, when every model that explains the run has its say.
//
// A bend before a fix and an error of the fix often explain it about equally well, and which of the
// two the best single model takes is then little more than chance. Of models m with weights w_m the
// probability that a fix is an outlier is Σ w_m·P_m. How often positions are wrong at all is judged
// from the job itself.
#pragma once

#include "alignment/rivals.hpp"

namespace sondeline::alignment {

// ln P/(1 − P) of each position of the run, averaged over the pool (rival_models).
std::vector<double> outlier_log_odds(const LoneRun& lone, const std::vector<Candidate>& pool);

// Share of a job's positions that are wrong, given the log odds of each: the mean of a beta
// distribution that begins as `outlier_share` known from a few positions.
double share_wrong(const std::vector<double>& log_odds);

// Marks the positions to be rejected, and gives every run the best of its models that agrees with
// the verdicts on its positions. Returns each run's pool.
std::vector<std::vector<Candidate>> settle_verdicts(NetworkData& data, Network& network);

}  // namespace sondeline::alignment
