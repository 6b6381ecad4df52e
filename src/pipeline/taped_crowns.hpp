// Inverts of a structure that were taped to the top of the pipe instead of its invert, or from
// another point than the ground levelled there.
#pragma once

#include "sondeline/alignment.hpp"

namespace sondeline {

// The inverts taped at one structure, two at least, are held against the even grade of the depths
// along their pipes, less what the locator is off by on this site, as far as the tapes at other
// structures tell. Where they lie higher by about one inside diameter, and rather that than
// nothing, a finding says so and the tapes get bounds that reach down to the invert. Needs the
// ground at the depths and at the tapes, four depths on each pipe within 15 m, and tapes at two
// other ends, which must not look taped to the top themselves. Tapes of a structure that are all
// off by another height, up or down and by 3.3 standard deviations, while its ground goes on
// evenly, are told as taken from another point, and get bounds that reach the depths. Two tanks
// within 4 m are the two sides of one, whose tapes are taken together.
//
// Measured on invented sites with 4 in pipe (crown_tapes, docs/grade-figures.md): of rightly taped
// sites 1.6 % are named at most. Of structures whose tapes are all at the top, 43 to 98 % are where
// depths good to 5 cm or better lie 1.5 m apart, 21 to 91 % where they lie 3 m apart, and 32 %
// at most where they are good to 10 cm only. One tape of two at the top is named in 17 % at most of
// the sites. Where all tapes of a site are at the top one structure is named in 8 % of the sites at
// most: ask doubt_tapes_together first.
void doubt_taped_crowns(LengthUnit unit, Lines& lines);

}  // namespace sondeline
