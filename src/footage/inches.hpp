// The inches behind a number of feet: 12' 6".
#pragma once

#include <span>
#include <vector>

#include "footage/cell_grid.hpp"
#include "footage/unit_text.hpp"

namespace sondeline {

// Looks behind the whole number of `feet` (no decimals), in crops that were read surely, for a
// prime and one or two digits: every way in which these can stand. Empty when there are none.
std::vector<NumberGrid> with_inches(const NumberGrid& feet, std::span<const NumberSpan> numbers,
                                    const GlyphNet& net, Strokes strokes);

// Ten and eleven inches are wider than nine. Where the text ends at the same place the feet stand
// further left beside them, and where it begins at the same place the inches stand further right:
// by a digit, or by less where a space of its own width kept the room. Ways in which that can be,
// for a grid with inches; none for one that is so already.
std::vector<NumberGrid> with_inches_aside(const NumberGrid& inches);

}  // namespace sondeline
