// The camera's own level in the vertical adjustment: what its readings say of the fall of the
// invert, which sign it has downhill, and whether it is to be believed.
#pragma once

#include "grade/screening.hpp"

namespace sondeline::grade {

// Rows z(a) − z(b) = fall over the piece, as shown, for the pieces between 0 and `length_m`.
std::vector<Row> level_log_rows(const AlignedRun& run, double length_m);

// Logarithm of how much likelier the heights of the run make it that positive is downhill than that
// negative is; 0 without a log, without three heights, or without levels.
double log_odds_downhill_positive(const RunRows& run);

// Turns the rows so that positive is downhill. `sign` said by the job table or told from the
// heights of all runs (`log_odds`, the sum over them): else, or where the heights contradict what
// the table says, or believing the log costs more depths than doing without it, its rows are taken
// out and a finding says so.
void settle_level_log(const RunId& id, InclinationSign sign, double log_odds, RunRows& run);

}  // namespace sondeline::grade
