// How much shorter a steep pipe is in plan.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline::alignment {

// Plan length per pipe length from the run's own depths, 1 unless it is plainly steeper than 5 %.
// The grade is the median of those between all pairs of depths a metre apart or more (Theil 1950,
// Sen 1968), so that a rod read ten metres wrong makes no pipe steep. Where half of the depths or
// more lie beyond the reach of a locator, or an invert taped at an end lies far from the depth
// beside it, they are in another unit or of another pipe, and it is 1.
double plan_per_pipe(const SiteRun& run);

}  // namespace sondeline::alignment
