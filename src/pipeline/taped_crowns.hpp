// Inverts of a structure that were taped to the top of the pipe instead of its invert.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline {

// The inverts taped at one structure, two at least, are held against the even grade of the depths
// along their pipes, less what the locator is off by on this site, as far as the tapes at other
// structures tell. Where they lie higher by about one inside diameter, and rather that than
// nothing, a finding says so and the tapes get bounds that reach down to the invert. Needs the
// ground at the depths and at the tapes, four depths on each pipe within 15 m, and tapes at two
// other ends.
void doubt_taped_crowns(LengthUnit unit, Lines& lines);

}  // namespace sondeline
