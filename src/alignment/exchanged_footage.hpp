// Footage of two runs that looks exchanged.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline::alignment {

// Where the footage of a run ends short of its structure, and that of a run with a free end goes
// just as far (to 2 %, 30 cm at least) as the first would have to, while the first goes at least as
// far as the fixes of the second, the two clips may be exchanged: a caution at the run with the
// free end, whose length would be that of the other. A run whose push was given up on purpose
// (status) is left alone. Lengths by the adjusted lines of `lines`.
void tell_exchanged_footage(const Site& site, const Lines& lines, Findings& findings);

}  // namespace sondeline::alignment
