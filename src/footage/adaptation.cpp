#include "footage/adaptation.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sondeline {

namespace {

constexpr float kSureValue = 0.995F;
constexpr int kSteps = 60;
constexpr float kRate = 0.5F;
constexpr float kPenalty = 0.002F;
constexpr std::size_t kMostPerDigit = 60;

// How far each class was from what it should have said; what is hardly off counts as right.
GlyphSums errors_of(const GlyphLogProbs& seen, Glyph shown) {
    constexpr float kHardlyOff = 1e-4F;
    GlyphSums errors{};
    for (std::size_t c = 0; c < seen.size(); ++c) {
        const bool right = c == static_cast<std::size_t>(shown);
        const float error = (right ? 1.0F : 0.0F) - std::exp(seen[c]);
        if (std::abs(error) >= kHardlyOff) errors[c] = error;
    }
    return errors;
}

void add_to(LastLayer& gradient, const GlyphFeatures& features, const GlyphSums& errors) {
    for (std::size_t i = 0; i < features.size(); ++i) {
        for (std::size_t c = 0; c < errors.size(); ++c) {
            gradient.weights[i][c] += errors[c] * features[i];
        }
    }
    for (std::size_t c = 0; c < errors.size(); ++c) gradient.bias[c] += errors[c];
}

// The examples thinned to a number of each digit, evenly spread.
std::vector<GlyphExample> balanced(std::span<const GlyphExample> examples) {
    std::array<std::vector<GlyphExample>, glyph_count> by_class;
    for (const GlyphExample& example : examples) {
        by_class[static_cast<std::size_t>(example.shown)].push_back(example);
    }
    std::vector<GlyphExample> chosen;
    for (const std::vector<GlyphExample>& all : by_class) {
        const std::size_t count = std::min(all.size(), kMostPerDigit);
        for (std::size_t i = 0; i < count; ++i) chosen.push_back(all[i * all.size() / count]);
    }
    return chosen;
}

}  // namespace

std::vector<GlyphExample> sure_digits(const CounterShape& shape, const CounterPath& path,
                                      std::span<const CellGlyphs> glyphs) {
    std::vector<GlyphExample> examples;
    for (std::size_t i = 0; i < glyphs.size(); ++i) {
        const PathValue& value = path.values[i];
        const WrittenLayout* layout = layout_of(shape, value.ticks);
        if (value.probability < kSureValue || layout == nullptr) continue;
        for (int cell = 0; cell < glyphs[i].count; ++cell) {
            const int shown = class_in_cell(layout->cells[cell], value.ticks);
            if (shown > 9) continue;
            examples.push_back({&glyphs[i].features[cell], &glyphs[i].patches[cell],
                                static_cast<Glyph>(shown), i});
        }
    }
    return examples;
}

LastLayer refitted(const LastLayer& base, std::span<const GlyphExample> examples) {
    const std::vector<GlyphExample> chosen = balanced(examples);
    if (chosen.empty()) return base;
    float squares = 0.0F;
    for (const GlyphExample& example : chosen) {
        for (const float f : *example.features) squares += f * f;
    }
    // Steps are scaled by the mean square of the features, as in normalised gradient descent.
    const auto count = static_cast<float>(chosen.size());
    const float rate = kRate * count / std::max(squares, 1e-6F);
    LastLayer layer = base;
    for (int step = 0; step < kSteps; ++step) {
        LastLayer gradient;
        for (const GlyphExample& example : chosen) {
            const GlyphLogProbs seen = classify_features(*example.features, layer);
            const GlyphSums errors = errors_of(seen, example.shown);
            if (errors != GlyphSums{}) add_to(gradient, *example.features, errors);
        }
        for (std::size_t i = 0; i < layer.weights.size(); ++i) {
            for (std::size_t c = 0; c < glyph_sums; ++c) {
                const float away = layer.weights[i][c] - base.weights[i][c];
                layer.weights[i][c] +=
                    10.0F * rate * gradient.weights[i][c] / count - kPenalty * away;
            }
        }
        for (std::size_t c = 0; c < glyph_sums; ++c) {
            layer.bias[c] += 10.0F * rate * gradient.bias[c] / count;
        }
    }
    return layer;
}

}  // namespace sondeline
