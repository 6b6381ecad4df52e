// Structures held by two tapes, against the pipes that meet there.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline {

// Places every structure with unchecked tapes a second time, by the runs that meet it alone. Where
// these lie where a whole foot (metre) misread on one of the two tapes would put it, a finding
// names that tape, and the structure's bounds are widened to reach both places. Where they would
// not show such a slip, or nothing places the structure but its tapes, a finding asks for a third
// tape. One adjustment for each such structure that runs meet.
Site with_tapes_held_against_runs(Site site);

}  // namespace sondeline
