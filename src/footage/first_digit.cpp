#include "footage/first_digit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace sondeline {

namespace {

constexpr float kSurePath = 0.98F;
constexpr int kFewestLooks = 4;  // frames of each, so that what lies behind the text evens out

// Sum of patches that show the same character.
struct Look {
    int frames = 0;
    std::array<double, patch_width * patch_height> sum{};

    double at(int x, int y) const {
        const auto row = static_cast<std::size_t>(y) * patch_width;
        return sum[row + static_cast<std::size_t>(x)] / frames;
    }
    void add(const GlyphPatch& patch) {
        ++frames;
        for (std::size_t i = 0; i < sum.size(); ++i) sum[i] += patch[i];
    }
};

// Correlation of `a` with `b` moved by some columns and rows, over what both cover.
double correlation(const Look& a, const Look& b, int columns, int rows) {
    double count = 0.0;
    double sum_a = 0.0;
    double sum_b = 0.0;
    double square_a = 0.0;
    double square_b = 0.0;
    double both = 0.0;
    for (int y = std::max(0, -rows); y < std::min(patch_height, patch_height - rows); ++y) {
        for (int x = std::max(0, -columns); x < std::min(patch_width, patch_width - columns); ++x) {
            const double of_a = a.at(x, y);
            const double of_b = b.at(x + columns, y + rows);
            count += 1.0;
            sum_a += of_a;
            sum_b += of_b;
            square_a += of_a * of_a;
            square_b += of_b * of_b;
            both += of_a * of_b;
        }
    }
    const double spread_a = square_a - sum_a * sum_a / count;
    const double spread_b = square_b - sum_b * sum_b / count;
    if (spread_a <= 0.0 || spread_b <= 0.0) return 0.0;
    return (both - sum_a * sum_b / count) / std::sqrt(spread_a * spread_b);
}

// The best over small moves: cells are not cut alike in every place.
double likeness(const Look& a, const Look& b) {
    constexpr int kColumns = 3;
    constexpr int kRows = 1;
    double best = -1.0;
    for (int rows = -kRows; rows <= kRows; ++rows) {
        for (int columns = -kColumns; columns <= kColumns; ++columns) {
            best = std::max(best, correlation(a, b, columns, rows));
        }
    }
    return best;
}

struct FirstCell {
    int cell = 0;
    int digit = 0;
};

// The first digit in one sample, unless the sample is not sure.
std::optional<FirstCell> first_of(const Candidate& candidate, std::size_t sample) {
    const PathValue& value = candidate.path.values[sample];
    const CounterShape& shape = candidate.structure.shape;
    const WrittenLayout* layout = layout_of(shape, value.ticks);
    if (value.probability < kSurePath || layout == nullptr) return std::nullopt;
    for (int cell = 0; cell < shape.cells; ++cell) {
        const int shown = class_in_cell(layout->cells[cell], value.ticks);
        if (shown < minus_class) return FirstCell{cell, shown};
    }
    return std::nullopt;
}

// The one digit that the longest numbers begin with; none when it changes or is 0. Shorter numbers,
// after a zeroing, begin in other cells.
std::optional<FirstCell> constant_first(const Candidate& candidate) {
    std::optional<FirstCell> only;
    bool moves = false;
    for (std::size_t i = 0; i < candidate.path.values.size(); ++i) {
        const std::optional<FirstCell> first = first_of(candidate, i);
        if (!first || (only && first->cell > only->cell)) continue;
        const bool longer = !only || first->cell < only->cell;
        moves = !longer && (moves || only->digit != first->digit);
        only = first;
    }
    if (moves || !only || only->digit == 0) return std::nullopt;
    return only;
}

// Numbers of several lengths all begin with the same digit: no count does that, a sign does.
bool keeps_first_as_it_grows(const Candidate& candidate) {
    constexpr int kFewest = 6;  // samples of a length
    const CounterShape& shape = candidate.structure.shape;
    std::array<int, most_line_cells + 1> samples_of{};
    int only = -1;
    for (std::size_t i = 0; i < candidate.path.values.size(); ++i) {
        const std::optional<FirstCell> first = first_of(candidate, i);
        if (!first) continue;
        if (first->digit == 0 || (only >= 0 && first->digit != only)) return false;
        only = first->digit;
        const WrittenLayout* layout = layout_of(shape, candidate.path.values[i].ticks);
        const auto digits = std::ranges::count_if(
            layout->cells, [](const CellRole& role) { return role.kind == CellRole::Kind::digit; });
        ++samples_of[static_cast<std::size_t>(digits)];
    }
    return std::ranges::count_if(samples_of, [](int n) { return n >= kFewest; }) > 1;
}

Look look_before(const Candidate& candidate, std::span<const LineCrop* const> crops) {
    const NumberGrid& grid = candidate.grid;
    const cv::Rect2d cell(grid.first_px - grid.band.pitch_px, grid.band.top_px, grid.band.pitch_px,
                          grid.band.height_px);
    Look look;
    for (const LineCrop* crop : crops) {
        look.add(patch_from(crop->luma, cell, strokes_of(candidate.structure.line)));
    }
    return look;
}

}  // namespace

bool same_before(const Candidate& candidate, std::span<const LineCrop* const> crops,
                 std::span<const LineCrop* const> others) {
    constexpr double kAlike = 0.8;
    if (crops.empty() || others.empty()) return false;
    return likeness(look_before(candidate, crops), look_before(candidate, others)) >= kAlike;
}

FirstDigit look_at_first_digit(const Candidate& candidate, std::span<const LineCrop* const> crops) {
    if (keeps_first_as_it_grows(candidate)) return FirstDigit::foreign;
    const std::optional<FirstCell> first = constant_first(candidate);
    if (!first) return FirstDigit::moves;
    const LineStructure& structure = candidate.structure;
    const Strokes strokes = strokes_of(structure.line);
    Look at_first;
    std::array<Look, 10> elsewhere;
    for (std::size_t i = 0; i < crops.size(); ++i) {
        const std::optional<FirstCell> here = first_of(candidate, i);
        if (!here || here->cell != first->cell) continue;
        const std::int64_t ticks = candidate.path.values[i].ticks;
        const WrittenLayout* layout = layout_of(structure.shape, ticks);
        for (int cell = first->cell; cell < structure.shape.cells; ++cell) {
            const int shown = class_in_cell(layout->cells[cell], ticks);
            if (shown >= minus_class) continue;
            const cv::Rect2d where(structure.cell_left_px[cell], structure.row_top_px,
                                   structure.cell_width_px[cell], structure.row_height_px);
            Look& look = cell == first->cell ? at_first : elsewhere[shown];
            look.add(patch_from(crops[i]->luma, where, strokes));
        }
    }
    const Look& same = elsewhere[first->digit];
    if (at_first.frames < kFewestLooks || same.frames < kFewestLooks) return FirstDigit::unknown;
    constexpr double kAlike = 0.8;
    constexpr double kUnlike = 0.7;
    const double to_same = likeness(at_first, same);
    double to_others = -1.0;
    for (const Look& other : elsewhere) {
        if (&other == &same || other.frames < kFewestLooks) continue;
        to_others = std::max(to_others, likeness(at_first, other));
    }
    if (to_same >= kAlike && to_same > to_others) return FirstDigit::confirmed;
    if (to_same < kUnlike || to_others > to_same + 0.1) return FirstDigit::foreign;
    return FirstDigit::unknown;
}

std::string doubt_of_first_digit(const Candidate& candidate) {
    constexpr float kClear_log = -0.05F;  // mean log-probability of a clear digit
    if (candidate.faults.first_digit == FirstDigit::foreign) {
        return "its first digit never changes and looks unlike the other digits";
    }
    const std::optional<FirstCell> first = constant_first(candidate);
    if (!first || candidate.faults.first_digit != FirstDigit::unknown) return {};
    float sum = 0.0F;
    int sure = 0;
    for (std::size_t i = 0; i < candidate.path.values.size(); ++i) {
        const std::optional<FirstCell> here = first_of(candidate, i);
        if (!here || here->cell != first->cell) continue;
        sum += candidate.glyphs[i].log_probs[first->cell][first->digit];
        ++sure;
    }
    if (sure == 0 || sum / static_cast<float>(sure) > kClear_log) return {};
    return "its first digit never changes, is not clear and could belong to something else";
}

}  // namespace sondeline
