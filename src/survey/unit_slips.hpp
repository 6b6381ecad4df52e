// Depths in the wrong unit: told by their size, never converted.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// Compares every depth with the others of the job. A single fix, or all those of a run, that are
// deeper by about 12 (inches taken for feet) or 39 (inches taken for metres), or a twelfth and too
// shallow for a pipe (feet taken for inches), get a finding that says so; so does a whole job whose
// depths are mostly beyond the reach of locating and would be ordinary in inches. Those beyond that
// reach are not used. Where the depths of every run, and of two at least, are about 3.28 times its
// taped inverts, or the reverse, none of these is used, and the runs whose tapes they are come
// back. `fixes` in the order of `job.fixes`.
std::vector<int> leave_out_unit_slips(const Job& job, LengthUnit unit, std::vector<SiteFix>& fixes,
                                      Findings& findings);

}  // namespace sondeline
