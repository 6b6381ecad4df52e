// The published invert profile, cover and residuals of a run.
#pragma once

#include "grade/analysis.hpp"

namespace sondeline::grade {

// Fills profile, cover, start and end invert, level range, residuals and rejected fixes. Points
// whose invert is not known to 0.5 m (one sd) are left out.
void add_profile(const Analysis& analysis, GradedRun& graded);

}  // namespace sondeline::grade
