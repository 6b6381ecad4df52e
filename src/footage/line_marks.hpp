// What the marks between its digits say of a line of text: a clock has colons, a date slashes.
#pragma once

#include "footage/cell_grid.hpp"

namespace sondeline {

// Whether the character stands between two digits, inside the number or next to it: at most two
// pitches behind it, or `pitches_before` before it; behind a colon two. The colon of `10:42` and
// not that of `Ft: 44.5`.
bool holds_mark(const GlyphMap& map, const NumberGrid& grid, Glyph mark,
                double pitches_before = 2.0);

// Whether any crop surely shows another digit than the others somewhere on the line.
bool digits_differ(const GlyphMap& map);

// At most `most` grids of numbers behind the last colon: that of a clock, or of a label whose last
// letter looks like a digit. The seconds of a clock are among them; they are told from a counter by
// how they run.
std::vector<NumberGrid> grids_behind_colons(const GlyphMap& map, std::size_t most);

}  // namespace sondeline
