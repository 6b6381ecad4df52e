// Patches made by a formula, for checking that weights are read back as they were written.
#pragma once

#include <cmath>

#include "footage/glyph_net.hpp"

namespace sondeline::support {

// A slanted bar over waves; the slant, the place and the waves follow from `index`.
inline GlyphPatch formula_patch(int index) {
    GlyphPatch patch{};
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            const double along = (y - 11.5) / 12.0;
            const double across = x - 7.5 - (index - 2) * 1.5 * along - (index % 3 - 1) * 2.0;
            const double bar = std::exp(-across * across / (1.0 + index));
            const double waves = 0.2 * std::sin(0.7 * x * (index + 1)) * std::cos(0.5 * y * index);
            patch[static_cast<std::size_t>(y * patch_width + x)] =
                static_cast<float>(100.0 + 80.0 * bar + 20.0 * waves);
        }
    }
    return patch;
}

}  // namespace sondeline::support
