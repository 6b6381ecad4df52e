#include "footage/inches.hpp"

#include <algorithm>
#include <array>
#include <vector>

namespace sondeline {

namespace {

constexpr int kStepsPerPitch = 8;
constexpr int kOffsets = 5 * kStepsPerPitch;  // how far behind the feet the inches may end

struct Seen {
    float digit = 0.0F;         // mean logit
    float prime = 0.0F;         // mean logit
    double share_digits = 0.0;  // of the crops that show a digit
};

std::array<Seen, kOffsets> seen_behind(const NumberGrid& feet, std::span<const NumberSpan> numbers,
                                       const GlyphNet& net, Strokes strokes) {
    const TextBand& band = feet.band;
    const double step_px = band.pitch_px / kStepsPerPitch;
    constexpr int steps_before = kStepsPerPitch / 2;
    std::vector<GlyphPatch> patches;
    for (const NumberSpan& number : numbers) {
        for (int offset = 0; offset < kOffsets; ++offset) {
            const double left = number.to_px + (offset - steps_before) * step_px;
            const cv::Rect2d cell(left, band.top_px, band.pitch_px, band.height_px);
            patches.push_back(patch_from(number.crop->luma, cell, strokes));
        }
    }
    std::vector<GlyphLogProbs> glyphs(patches.size());
    net.classify(patches, glyphs);
    std::array<Seen, kOffsets> seen{};
    const auto count = static_cast<float>(numbers.size());
    for (std::size_t i = 0; i < glyphs.size(); ++i) {
        Seen& here = seen[i % kOffsets];
        const float digit = digit_logit(glyphs[i]);
        here.digit += digit / count;
        here.prime += class_logit(glyphs[i], Glyph::prime) / count;
        here.share_digits += (digit > 0.5F) / static_cast<double>(count);
    }
    return seen;
}

}  // namespace

std::optional<NumberGrid> with_inches(const NumberGrid& feet, std::span<const NumberSpan> numbers,
                                      const GlyphNet& net, Strokes strokes) {
    if (numbers.empty() || feet.decimals != 0) return std::nullopt;
    const std::array<Seen, kOffsets> seen = seen_behind(feet, numbers, net, strokes);
    // The ones of the inches: the last place that shows a digit in nearly every crop, or in some
    // when a prime is clear, for then something is behind it.
    constexpr float kClearPrime = 1.5F;
    const bool clear_prime =
        std::ranges::any_of(seen, [](const Seen& here) { return here.prime > kClearPrime; });
    const double least_share = clear_prime ? 0.25 : 0.7;
    int ones = -1;
    for (int offset = kStepsPerPitch / 2; offset < kOffsets; ++offset) {
        const bool steady =
            seen[offset].share_digits > least_share && (clear_prime || seen[offset].digit > 0.5F);
        if (!steady) continue;
        const bool near = ones >= 0 && offset - ones < kStepsPerPitch / 2;
        if (ones < 0 || !near || seen[offset].digit > seen[ones].digit) ones = offset;
    }
    if (ones < 0) return std::nullopt;
    const auto prime =
        std::max_element(seen.begin(), seen.begin() + ones,
                         [](const Seen& a, const Seen& b) { return a.prime < b.prime; });
    if (prime->prime < 0.0F) return std::nullopt;
    NumberGrid grid = feet;
    grid.inches = true;
    grid.point_logit = prime->prime;
    // Feet and inches are laid out in whole cells only.
    if (grid.padding == Padding::part) {
        const bool stays = grid.lead_px < 0.5 * grid.band.pitch_px;
        grid.padding = stays ? Padding::left : Padding::blanks;
    }
    grid.decimals = 2;
    const double step_px = feet.band.pitch_px / kStepsPerPitch;
    constexpr int steps_before = kStepsPerPitch / 2;
    const double ones_px = (ones - steps_before) * step_px;  // behind the feet
    grid.gap_px = ones_px - feet.band.pitch_px;
    if (grid.gap_px < 0.0) {
        // No room for tens before it: the first of two inch digits stands where a single one does.
        grid.gap_px = ones_px;
        grid.inches_move = true;
    }
    return grid;
}

}  // namespace sondeline
