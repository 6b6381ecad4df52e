// Depths in the wrong unit: told by their size, never converted.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// Compares every depth with the others of the job. A single fix, or all those of a run, that are
// deeper by about 12 (inches taken for feet) or 39 (inches taken for metres), or a twelfth and too
// shallow for a pipe (feet taken for inches), get a finding that says so; so does a whole job whose
// depths are all beyond the reach of locating and would be ordinary in inches. `fixes` in the order
// of `job.fixes`.
void tell_unit_slips(const Job& job, const std::vector<SiteFix>& fixes, LengthUnit unit,
                     Findings& findings);

}  // namespace sondeline
