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

}  // namespace sondeline
