// Rod readings that nothing checks and that look written down for each other.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline {

// Two structures that were read once each, from one setup, trade their elevations when their
// readings are exchanged. Where a sewer or an effluent line surely falls the wrong way, and such an
// exchange would make it fall as drains do without turning any other run around, one finding names
// the pairs. Runs whose fixes were levelled as well are left alone: their own ground checks the
// readings at their ends. Nothing is changed.
void tell_exchanged_levels(const Job& job, const Site& site, const Lines& lines,
                           const Profiles& profiles, Findings& findings);

}  // namespace sondeline
