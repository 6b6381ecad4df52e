// The network's last layer fitted to the glyphs of one clip.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "footage/counter_path.hpp"
#include "footage/line_cells.hpp"

namespace sondeline {

struct GlyphExample {
    const GlyphFeatures* features = nullptr;
    const GlyphPatch* patch = nullptr;
    Glyph shown = Glyph::digit_0;
    std::size_t sample = 0;
};

// Cells of the samples whose value is sure, each with the digit that the value puts there.
std::vector<GlyphExample> sure_digits(const CounterShape& shape, const CounterPath& path,
                                      std::span<const CellGlyphs> glyphs);

// Softmax regression on the examples, every digit weighing the same, held near `base` by a
// quadratic penalty (gradient descent from it, fixed number of steps). A digit without examples
// keeps nearly what it had.
LastLayer refitted(const LastLayer& base, std::span<const GlyphExample> examples);

}  // namespace sondeline
