// What one clip teaches about its own digits: the network's last layer fitted to them, and how each
// digit looks pixel by pixel, so that a face unlike those the network knows, or text that is small
// and noisy, is still read by what stands in this overlay.
//
// Pixels of a patch are taken as independent and normal, with a mean and a variance for each digit
// (strokes are steady, the wall beside them is not); both witnesses are weighed by what they do on
// examples that they were not fitted to, as in logistic calibration of scores (J. Platt,
// "Probabilistic outputs for support vector machines", 1999, quoted from memory).
#pragma once

#include <array>
#include <span>
#include <vector>

#include "footage/adaptation.hpp"
#include "footage/line_cells.hpp"

namespace sondeline {

// One digit's pixels, in grey levels. `examples` 0: not seen, the rest means nothing.
struct DigitLook {
    int examples = 0;
    GlyphPatch mean{};
    GlyphPatch inverse_variance{};
    float log_spread = 0.0F;  // half the sum of the logarithms of the variances
};

struct OwnGlyphs {
    LastLayer layer;
    std::array<DigitLook, 10> looks;
    // Log-probabilities are added up with these shares; `looks_share` 0 leaves the pixels out.
    float layer_share = 1.0F;
    float looks_share = 0.0F;
    float stranger = 0.0F;  // log-likelihood given to what has no look of its own
};

// Examples in order of time. Deterministic.
OwnGlyphs learned(const LastLayer& base, std::span<const GlyphExample> examples);

// Evidence of one cell.
GlyphLogProbs seen_by(const OwnGlyphs& own, const GlyphFeatures& features, const GlyphPatch& patch);

// The same of all cells of a crop.
std::vector<GlyphLogProbs> seen_by(const OwnGlyphs& own, const CellGlyphs& glyphs);

// Whether what was learned may be used: no fewer readings are sure, nearly all that were stay, and
// hardly any glyph that the base was sure of is read as another digit. `seen` by what was learned.
bool is_sound(const CounterPath& before, const CounterPath& after,
              std::span<const CellGlyphs> glyphs, std::span<const std::vector<GlyphLogProbs>> seen);

}  // namespace sondeline
