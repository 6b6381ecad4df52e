// Runs whose typed kind is contradicted by the structures at their ends or by their pipe.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// Fills in SiteRun::kind_doubt, with a finding for each. Only what changes the slope that is asked
// of a run is doubted: a sewer or effluent line that belongs to the field beyond the box, and a
// lateral or trench that lies before it. Ends that are not known contradict nothing. `runs` in the
// order of `job.runs`.
void doubt_kinds(const Job& job, const std::vector<SiteStructure>& structures,
                 std::vector<SiteRun>& runs, Findings& findings);

}  // namespace sondeline
