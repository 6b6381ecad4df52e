#include "footage/unit_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "footage/cell_sampler.hpp"

namespace sondeline {

namespace {

constexpr int kStepsPerPitch = 6;
constexpr int kPitches = 4;  // how far from the number a unit may end
constexpr int kOffsets = kStepsPerPitch * kPitches;

using Logits = std::array<float, glyph_count>;
using Profile = std::array<Logits, kOffsets>;  // by distance from the number

// Mean logit of each class, the cell's near edge `offset` steps from the number.
Profile profile_beside(std::span<const NumberSpan> numbers, const GlyphNet& net, Strokes strokes,
                       const TextBand& band, bool behind) {
    std::vector<GlyphLogProbs> seen(numbers.size() * kOffsets);
    const double step_px = band.pitch_px / kStepsPerPitch;
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        const NumberSpan& number = numbers[i];
        std::array<cv::Rect2d, kOffsets> cells;
        for (int offset = 0; offset < kOffsets; ++offset) {
            const double left = behind ? number.to_px + (offset - 2) * step_px
                                       : number.from_px - band.pitch_px - (offset - 2) * step_px;
            cells[offset] = cv::Rect2d(left, band.top_px, band.pitch_px, band.height_px);
        }
        net.classify(patches_from(number.crop->luma, cells, strokes),
                     std::span(seen).subspan(i * kOffsets, kOffsets));
    }
    Profile profile{};
    for (std::size_t i = 0; i < seen.size(); ++i) {
        for (int c = 0; c < glyph_count; ++c) {
            profile[i % kOffsets][c] +=
                class_logit(seen[i], static_cast<Glyph>(c)) / static_cast<float>(numbers.size());
        }
    }
    return profile;
}

struct Peak {
    float logit = -most_logit;
    int offset = 0;
};

Peak peak_of(const Profile& profile, Glyph glyph) {
    Peak peak;
    for (int offset = 0; offset < kOffsets; ++offset) {
        const float logit = profile[offset][static_cast<std::size_t>(glyph)];
        if (logit > peak.logit) peak = {logit, offset};
    }
    return peak;
}

// Whether another letter stands between the number and the place: then what stands there belongs to
// a word, as the M of `TEMP`.
bool within_a_word(const Profile& profile, int offset) {
    for (int nearer = 0; nearer <= offset - kStepsPerPitch * 2 / 3; ++nearer) {
        if (profile[nearer][static_cast<std::size_t>(Glyph::other_letter)] > 0.0F) return true;
    }
    return false;
}

struct UnitLogits {
    double foot = -most_logit;
    double metre = -most_logit;
};

// f and t must stand next to each other, and neither may be unlikely: the T of `BAT` or of a
// temperature is clear enough for two.
UnitLogits logits_in(const Profile& profile, bool behind) {
    const Peak f = peak_of(profile, Glyph::letter_f);
    const Peak t = peak_of(profile, Glyph::letter_t);
    const int apart = behind ? t.offset - f.offset : f.offset - t.offset;
    const bool neighbours = apart >= kStepsPerPitch / 3 && apart <= kStepsPerPitch * 3 / 2;
    UnitLogits logits;
    constexpr float kUnlikely = -0.5F;
    if (neighbours && std::min(f.logit, t.logit) > kUnlikely) logits.foot = f.logit + t.logit;
    // A prime before the number is the stem of some letter.
    if (behind) logits.foot = std::max<double>(logits.foot, peak_of(profile, Glyph::prime).logit);
    const Peak m = peak_of(profile, Glyph::letter_m);
    if (behind || !within_a_word(profile, m.offset)) logits.metre = m.logit;
    return logits;
}

}  // namespace

UnitGuess unit_beside(std::span<const NumberSpan> numbers, const GlyphNet& net, Strokes strokes,
                      const TextBand& band) {
    if (numbers.empty()) return {};
    // A wall or another field's edge may look a little like a letter.
    constexpr double kClear = 1.2;
    const auto strongest_of = [](const UnitLogits& seen) {
        return std::max(seen.foot, seen.metre);
    };
    UnitLogits best = logits_in(profile_beside(numbers, net, strokes, band, true), true);
    if (strongest_of(best) < kClear) {
        UnitLogits before = logits_in(profile_beside(numbers, net, strokes, band, false), false);
        // Labels before a number hold all kinds of letters: a unit there must be clear.
        before.foot -= 2.0;
        before.metre -= 2.0;
        if (strongest_of(before) > strongest_of(best)) best = before;
    }
    const double strongest = strongest_of(best);
    const double other = std::max(std::min(best.foot, best.metre), -1.0);
    if (strongest < kClear) return {};
    UnitGuess guess;
    guess.unit = best.foot > best.metre ? CounterUnit::foot : CounterUnit::metre;
    guess.probability = 1.0 / (1.0 + std::exp(-(strongest - other)));
    return guess;
}

}  // namespace sondeline
