#include "footage/own_glyphs.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace sondeline {

namespace {

constexpr int kFewestExamples = 4;
constexpr int kMostExamples = 80;
constexpr std::size_t kBlock = 20;  // samples that share a fold: neighbours show the same picture
constexpr float kLeastDeviation = 5.0F;  // grey levels
constexpr float kPriorExamples = 6.0F;   // that the variance over all digits counts as
constexpr std::array kLayerShares{1.0F, 0.6F, 0.3F};
constexpr std::array kLooksShares{0.01F, 0.02F, 0.04F, 0.08F, 0.16F};

constexpr float kSureValue = 0.995F;
constexpr float kSureGlyph_log = -0.02F;  // ln 0.98

using Examples = std::vector<GlyphExample>;

std::size_t digit_of(const GlyphExample& example) {
    return static_cast<std::size_t>(example.shown);
}

Examples thinned(std::span<const GlyphExample> examples, std::size_t digit) {
    Examples all;
    for (const GlyphExample& example : examples) {
        if (digit_of(example) == digit) all.push_back(example);
    }
    if (all.size() <= kMostExamples) return all;
    Examples chosen;
    for (std::size_t i = 0; i < kMostExamples; ++i) {
        chosen.push_back(all[i * all.size() / kMostExamples]);
    }
    return chosen;
}

GlyphPatch mean_of(const Examples& examples) {
    GlyphPatch mean{};
    for (const GlyphExample& example : examples) {
        for (std::size_t p = 0; p < mean.size(); ++p) mean[p] += (*example.patch)[p];
    }
    for (float& value : mean) value /= static_cast<float>(examples.size());
    return mean;
}

// Sum over the examples of squared differences from the mean.
GlyphPatch squares_about(const GlyphPatch& mean, const Examples& examples) {
    GlyphPatch squares{};
    for (const GlyphExample& example : examples) {
        for (std::size_t p = 0; p < mean.size(); ++p) {
            const float away = (*example.patch)[p] - mean[p];
            squares[p] += away * away;
        }
    }
    return squares;
}

std::array<DigitLook, 10> looks_of(std::span<const GlyphExample> examples) {
    std::array<DigitLook, 10> looks;
    std::array<GlyphPatch, 10> squares{};
    GlyphPatch pooled{};
    float degrees = 0.0F;
    for (std::size_t digit = 0; digit < looks.size(); ++digit) {
        const Examples mine = thinned(examples, digit);
        if (static_cast<int>(mine.size()) < kFewestExamples) continue;
        looks[digit].examples = static_cast<int>(mine.size());
        looks[digit].mean = mean_of(mine);
        squares[digit] = squares_about(looks[digit].mean, mine);
        for (std::size_t p = 0; p < pooled.size(); ++p) pooled[p] += squares[digit][p];
        degrees += static_cast<float>(mine.size() - 1);
    }
    for (std::size_t digit = 0; digit < looks.size(); ++digit) {
        DigitLook& look = looks[digit];
        if (look.examples == 0) continue;
        const float own = static_cast<float>(look.examples - 1);
        for (std::size_t p = 0; p < pooled.size(); ++p) {
            const float shared = pooled[p] / degrees;
            const float variance =
                (squares[digit][p] + kPriorExamples * shared) / (own + kPriorExamples) +
                kLeastDeviation * kLeastDeviation;
            look.inverse_variance[p] = 1.0F / variance;
            look.log_spread += 0.5F * std::log(variance);
        }
    }
    return looks;
}

// What an example that was not used says: the network's and the pixels' log-probabilities.
struct Trial {
    std::size_t digit = 0;
    GlyphLogProbs by_layer{};
    std::array<float, 10> by_looks{};  // lowest() where there is no look
};

// Likelihoods of right digits lie above this, but for one in forty or so.
float stranger_level(const std::vector<Trial>& trials) {
    std::vector<float> right;
    for (const Trial& trial : trials) {
        const float value = trial.by_looks[trial.digit];
        if (value > std::numeric_limits<float>::lowest()) right.push_back(value);
    }
    if (right.size() < 2) return 0.0F;
    const auto low = right.begin() + static_cast<std::ptrdiff_t>(right.size() / 40);
    std::nth_element(right.begin(), low, right.end());
    return *low;
}

std::array<float, 10> likelihoods(const std::array<DigitLook, 10>& looks, const GlyphPatch& patch) {
    // Ten sums side by side: the steps of one wait for each other.
    std::array<float, 10> sums{};
    for (std::size_t p = 0; p < patch.size(); ++p) {
        for (std::size_t digit = 0; digit < looks.size(); ++digit) {
            const float away = patch[p] - looks[digit].mean[p];
            sums[digit] += away * away * looks[digit].inverse_variance[p];
        }
    }
    std::array<float, 10> all;
    for (std::size_t digit = 0; digit < looks.size(); ++digit) {
        all[digit] = looks[digit].examples > 0 ? -0.5F * sums[digit] - looks[digit].log_spread
                                               : std::numeric_limits<float>::lowest();
    }
    return all;
}

GlyphLogProbs weighed(const GlyphLogProbs& by_layer, const std::array<float, 10>& by_looks,
                      const OwnGlyphs& own) {
    GlyphLogProbs sum;
    for (std::size_t c = 0; c < sum.size(); ++c) {
        const bool has_look = c < 10 && by_looks[c] > std::numeric_limits<float>::lowest();
        // Nothing is less like the clip's digits than what is like none of them.
        const float look = has_look ? std::max(by_looks[c] - own.stranger, -400.0F) : 0.0F;
        sum[c] = own.layer_share * by_layer[c] + own.looks_share * look;
    }
    const float largest = *std::ranges::max_element(sum);
    float total = 0.0F;
    for (const float value : sum) total += std::exp(value - largest);
    for (float& value : sum) value -= largest + std::log(total);
    return sum;
}

Examples of_fold(std::span<const GlyphExample> examples, std::size_t fold, bool inside) {
    Examples chosen;
    for (const GlyphExample& example : examples) {
        if ((example.sample / kBlock % 2 == fold) == inside) chosen.push_back(example);
    }
    return chosen;
}

std::vector<Trial> trials_of(const LastLayer& base, std::span<const GlyphExample> examples) {
    std::vector<Trial> trials;
    for (const std::size_t fold : {0U, 1U}) {
        const Examples others = of_fold(examples, fold, false);
        const LastLayer layer = refitted(base, others);
        const std::array<DigitLook, 10> looks = looks_of(others);
        for (std::size_t digit = 0; digit < looks.size(); ++digit) {
            for (const GlyphExample& example : thinned(of_fold(examples, fold, true), digit)) {
                trials.push_back({digit, classify_features(*example.features, layer),
                                  likelihoods(looks, *example.patch)});
            }
        }
    }
    return trials;
}

double loss(const std::vector<Trial>& trials, const OwnGlyphs& own) {
    double sum = 0.0;
    for (const Trial& trial : trials) {
        sum -= weighed(trial.by_layer, trial.by_looks, own)[trial.digit];
    }
    return sum;
}

int best_digit(const GlyphLogProbs& log_probs) {
    return static_cast<int>(std::max_element(log_probs.begin(), log_probs.begin() + 10) -
                            log_probs.begin());
}

}  // namespace

OwnGlyphs learned(const LastLayer& base, std::span<const GlyphExample> examples) {
    OwnGlyphs own;
    own.layer = refitted(base, examples);
    own.looks = looks_of(examples);
    const std::vector<Trial> trials = trials_of(base, examples);
    if (trials.empty()) return own;
    own.stranger = stranger_level(trials);
    // Of shares that do about as well, those that listen to the pixels most.
    constexpr double kAsWell = 0.002;  // nats an example
    double least = std::numeric_limits<double>::max();
    OwnGlyphs best = own;
    for (const float layer_share : kLayerShares) {
        for (const float looks_share : kLooksShares) {
            own.layer_share = layer_share;
            own.looks_share = looks_share;
            const double of_this = loss(trials, own);
            const bool same_layer = layer_share == best.layer_share;
            const double allowed = same_layer ? kAsWell * static_cast<double>(trials.size()) : 0.0;
            if (of_this >= least + allowed) continue;
            least = std::min(least, of_this);
            best.layer_share = layer_share;
            best.looks_share = looks_share;
        }
    }
    return best;
}

GlyphLogProbs seen_by(const OwnGlyphs& own, const GlyphFeatures& features,
                      const GlyphPatch& patch) {
    const GlyphLogProbs by_layer = classify_features(features, own.layer);
    if (own.looks_share == 0.0F && own.layer_share == 1.0F) return by_layer;
    return weighed(by_layer, likelihoods(own.looks, patch), own);
}

std::vector<GlyphLogProbs> seen_by(const OwnGlyphs& own, const CellGlyphs& glyphs) {
    std::vector<GlyphLogProbs> seen;
    seen.reserve(static_cast<std::size_t>(glyphs.count));
    for (int cell = 0; cell < glyphs.count; ++cell) {
        seen.push_back(seen_by(own, glyphs.features[cell], glyphs.patches[cell]));
    }
    return seen;
}

bool is_sound(const CounterPath& before, const CounterPath& after,
              std::span<const CellGlyphs> glyphs,
              std::span<const std::vector<GlyphLogProbs>> seen) {
    int sure = 0;
    int sure_after = 0;
    int kept = 0;
    int sure_glyphs = 0;
    int flipped = 0;
    for (std::size_t i = 0; i < glyphs.size(); ++i) {
        sure_after += after.values[i].probability >= kSureValue ? 1 : 0;
        if (before.values[i].probability >= kSureValue) {
            ++sure;
            kept += after.values[i].ticks == before.values[i].ticks;
        }
        for (int cell = 0; cell < glyphs[i].count; ++cell) {
            const GlyphLogProbs& was = glyphs[i].log_probs[cell];
            const int digit = best_digit(was);
            if (was[digit] < kSureGlyph_log) continue;
            ++sure_glyphs;
            flipped += best_digit(seen[i][cell]) != digit;
        }
    }
    return sure_after >= sure && kept * 100 >= sure * 97 &&
           flipped * 100 < std::max(1, sure_glyphs) * 4;
}

}  // namespace sondeline
