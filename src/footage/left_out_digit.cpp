#include "footage/left_out_digit.hpp"

#include <algorithm>
#include <array>
#include <bitset>

#include "footage/cell_sampler.hpp"

namespace sondeline {

namespace {

constexpr int kStepsPerPitch = 6;
constexpr int kNearest = 5;  // steps behind the last cell's left edge
constexpr int kFurthest = 13;
constexpr int kOffsets = kFurthest - kNearest + 1;

// Right-most digit cell of the number in one crop.
double last_digit_left_px(const LineStructure& structure, const WrittenLayout& layout) {
    double last_px = 0.0;
    for (std::size_t cell = 0; cell < structure.cell_left_px.size(); ++cell) {
        const CellRole::Kind kind = layout.cells[cell].kind;
        if (kind != CellRole::Kind::digit) continue;
        last_px = std::max<double>(last_px, structure.cell_left_px[cell]);
    }
    return last_px;
}

struct SeenAt {
    int digits = 0;  // crops
    std::bitset<10> which;
    int clear = 0;  // of them
    std::bitset<10> which_clear;
};

// In a third of the crops, or clearly in an eighth: a number that is set back to zero may be longer
// for a part of the clip only.
bool is_a_digit(const SeenAt& at, int looked) {
    constexpr std::size_t kFewestDifferent = 3;
    return (at.digits * 10 >= looked * 3 && at.which.count() >= kFewestDifferent) ||
           (at.clear * 8 >= looked && at.which_clear.count() >= kFewestDifferent);
}

}  // namespace

bool leaves_out_a_digit(const Candidate& candidate, std::span<const LineCrop* const> crops,
                        const GlyphNet& net) {
    constexpr std::size_t kLooks = 40;
    constexpr float kDigit = 1.0F;  // logit
    constexpr float kClearDigit = 3.0F;
    if (candidate.grid.inches) return false;
    const LineStructure& structure = candidate.structure;
    const TextBand& band = candidate.grid.band;
    const std::size_t stride = std::max<std::size_t>(1, crops.size() / kLooks);
    std::array<SeenAt, kOffsets> seen{};
    int looked = 0;
    for (std::size_t i = 0; i < crops.size(); i += stride) {
        const WrittenLayout* layout = layout_of(structure.shape, candidate.path.values[i].ticks);
        if (layout == nullptr) continue;
        ++looked;
        const double last_px = last_digit_left_px(structure, *layout);
        std::array<cv::Rect2d, kOffsets> cells;
        for (int k = 0; k < kOffsets; ++k) {
            const double left = last_px + (kNearest + k) * band.pitch_px / kStepsPerPitch;
            cells[k] = cv::Rect2d(left, band.top_px, band.pitch_px, band.height_px);
        }
        std::array<GlyphLogProbs, kOffsets> glyphs;
        net.classify(patches_from(crops[i]->luma, cells, strokes_of(structure.line)), glyphs);
        for (int k = 0; k < kOffsets; ++k) {
            const float logit = digit_logit(glyphs[k]);
            if (logit < kDigit) continue;
            const auto digit = static_cast<std::size_t>(
                std::max_element(glyphs[k].begin(), glyphs[k].begin() + 10) - glyphs[k].begin());
            ++seen[k].digits;
            seen[k].which.set(digit);
            if (logit < kClearDigit) continue;
            ++seen[k].clear;
            seen[k].which_clear.set(digit);
        }
    }
    return std::ranges::any_of(seen, [looked](const SeenAt& at) { return is_a_digit(at, looked); });
}

}  // namespace sondeline
