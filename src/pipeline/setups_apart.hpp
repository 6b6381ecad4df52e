// Heights that look wrong because two setups of the level do not fit each other.
#pragma once

#include "sondeline/grade.hpp"
#include "sondeline/survey.hpp"

namespace sondeline {

// Where the height of a structure was not used, and the structure was read from one setup but all
// fixes of a run that meets it from others, a misreading at the points that join the setups looks
// the same: a finding says so for each such structure, with the points to look up. A setup joins
// another where both read a point.
Findings tell_setups_apart(const Job& job, const Site& site, const HeightsNotUsed& not_used);

}  // namespace sondeline
