#include "footage/inches.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "footage/cell_sampler.hpp"

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
    std::vector<GlyphLogProbs> glyphs(numbers.size() * kOffsets);
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        std::array<cv::Rect2d, kOffsets> cells;
        for (int offset = 0; offset < kOffsets; ++offset) {
            const double left = numbers[i].to_px + (offset - steps_before) * step_px;
            cells[offset] = cv::Rect2d(left, band.top_px, band.pitch_px, band.height_px);
        }
        net.classify(patches_from(numbers[i].crop->luma, cells, strokes),
                     std::span(glyphs).subspan(i * kOffsets, kOffsets));
    }
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

// The last place that shows a digit in so many of the crops, where it is clearest; -1: none.
int last_digit(const std::array<Seen, kOffsets>& seen, double least_share, float least_logit) {
    int last = -1;
    for (int offset = kStepsPerPitch / 2; offset < kOffsets; ++offset) {
        if (seen[offset].share_digits <= least_share || seen[offset].digit <= least_logit) continue;
        const bool near = last >= 0 && offset - last < kStepsPerPitch / 2;
        if (last < 0 || !near || seen[offset].digit > seen[last].digit) last = offset;
    }
    return last;
}

// Whether some crops show a digit there, as the second one of ten and eleven inches.
bool digit_now_and_then(const std::array<Seen, kOffsets>& seen, int offset) {
    constexpr double kSome = 0.03;
    for (int near = offset - 2; near <= offset + 2; ++near) {
        if (near < kOffsets && seen[near].share_digits > kSome) return true;
    }
    return false;
}

}  // namespace

std::vector<NumberGrid> with_inches(const NumberGrid& feet, std::span<const NumberSpan> numbers,
                                    const GlyphNet& net, Strokes strokes) {
    if (numbers.empty() || feet.decimals != 0) return {};
    const std::array<Seen, kOffsets> seen = seen_behind(feet, numbers, net, strokes);
    int ones = last_digit(seen, 0.7, 0.5F);
    constexpr float kClearPrime = 1.5F;
    const bool clear_prime =
        std::ranges::any_of(seen, [](const Seen& here) { return here.prime > kClearPrime; });
    // Something must be behind a prime that is clear.
    if (ones < 0 && clear_prime) ones = last_digit(seen, 0.25, most_logit * -1.0F);
    if (ones < 0) return {};
    const auto prime =
        std::max_element(seen.begin(), seen.begin() + ones,
                         [](const Seen& a, const Seen& b) { return a.prime < b.prime; });
    if (prime->prime < 0.0F) return {};
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
    // The first of two inch digits may stand where a single one does.
    NumberGrid moving = grid;
    moving.gap_px = ones_px;
    moving.inch_places = InchPlaces::first;
    grid.gap_px = ones_px - feet.band.pitch_px;
    // Less room than tens need: the feet would have to stand further left beside them.
    constexpr double kTooLittle = 0.3;  // pitches
    if (grid.gap_px < -kTooLittle * feet.band.pitch_px) return {moving};
    if (grid.gap_px < 0.0) return {grid, moving};
    if (digit_now_and_then(seen, ones + kStepsPerPitch)) return {grid, moving};
    return {grid};
}

std::vector<NumberGrid> with_inches_aside(const NumberGrid& inches) {
    constexpr int kSteps = 8;  // to a pitch
    constexpr int kFirst = 2;
    std::vector<NumberGrid> grids;
    if (inches.inch_places == InchPlaces::aside) return grids;
    // Of feet that never grew it is open whether they stay or the inches do.
    std::vector<Padding> anchors{inches.padding};
    if (inches.padding == Padding::zeros) anchors.push_back(Padding::left);
    for (const Padding anchor : anchors) {
        for (int step = kFirst; step <= kSteps; ++step) {
            NumberGrid grid = inches;
            grid.padding = anchor;
            if (grid.inch_places == InchPlaces::first) grid.gap_px -= grid.band.pitch_px;
            grid.inch_places = InchPlaces::aside;
            grid.aside_px = grid.band.pitch_px * step / kSteps;
            grids.push_back(grid);
        }
    }
    return grids;
}

}  // namespace sondeline
