#include "footage/line_cells.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "footage/glyph_map.hpp"

namespace sondeline {

namespace {

std::uint8_t stored(double log_probability) {
    return static_cast<std::uint8_t>(std::clamp(-log_probability * cost_scale, 0.0, 255.0));
}

std::array<std::uint8_t, cell_class_count> class_costs(const GlyphLogProbs& log_probs) {
    std::array<std::uint8_t, cell_class_count> costs{};
    double known = 0.0;
    for (int c = 0; c <= minus_class; ++c) {
        costs[c] = stored(log_probs[c]);
        known += std::exp(static_cast<double>(log_probs[c]));
    }
    costs[other_class] = stored(std::log(std::max(1.0 - known, 1e-7)));
    return costs;
}

// Every second row of the crop, beginning with `first`; shares the crop's pixels.
cv::Mat1b field_of(const cv::Mat1b& luma, int first) {
    cv::Mat1b luma_view = luma.rowRange(first, luma.rows);
    return {luma_view.rows / 2, luma_view.cols, luma_view.data, luma_view.step * 2};
}

// Correlation: whether two patches show the same glyph.
double likeness(const GlyphPatch& a, const GlyphPatch& b) {
    const auto mean_of = [](const GlyphPatch& patch) {
        double sum = 0.0;
        for (const float value : patch) sum += value;
        return sum / static_cast<double>(patch.size());
    };
    const double mean_a = mean_of(a);
    const double mean_b = mean_of(b);
    double both = 0.0;
    double square_a = 0.0;
    double square_b = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        both += (a[i] - mean_a) * (b[i] - mean_b);
        square_a += (a[i] - mean_a) * (a[i] - mean_a);
        square_b += (b[i] - mean_b) * (b[i] - mean_b);
    }
    if (square_b == 0.0) return 1.0;  // nothing to be unlike
    return square_a > 0.0 ? both / std::sqrt(square_a * square_b) : 0.0;
}

// Mean square of second differences over a stroke's width, within the cell.
double square_of_edges(const GlyphPatch& patch) {
    constexpr int kStroke = 3;
    constexpr int kAbove = kStroke * patch_width;
    float sum = 0.0F;
    for (int y = patch_cell_top; y < patch_cell_top + patch_cell_height; ++y) {
        for (int x = kStroke; x < patch_width - kStroke; ++x) {
            const float* at = &patch[static_cast<std::size_t>(y) * patch_width + x];
            const float across = at[-kStroke] + at[kStroke] - 2.0F * at[0];
            const float down = at[-kAbove] + at[kAbove] - 2.0F * at[0];
            sum += across * across + down * down;
        }
    }
    constexpr int kPixels = patch_cell_height * (patch_width - 2 * kStroke);
    return static_cast<double>(sum) / kPixels;
}

std::vector<cv::Rect2d> cells_of(const LineStructure& structure) {
    std::vector<cv::Rect2d> cells;
    for (std::size_t i = 0; i < structure.cell_left_px.size(); ++i) {
        cells.emplace_back(structure.cell_left_px[i], structure.row_top_px,
                           structure.cell_width_px[i], structure.row_height_px);
    }
    return cells;
}

// The same in the rows of one field; the second begins a row further down than the first.
std::vector<cv::Rect2d> in_field(std::vector<cv::Rect2d> cells, int field) {
    const double down_px = field == 0 ? 0.5 : -0.5;
    for (cv::Rect2d& cell : cells) {
        cell.y = (cell.y + down_px) / 2.0;
        cell.height /= 2.0;
    }
    return cells;
}

}  // namespace

CellReader::CellReader(const LineStructure& structure, const GlyphNet& net)
    : net_(net),
      interlaced_(structure.line.interlaced),
      whole_(cells_of(structure), strokes_of(structure.line)) {
    if (!interlaced_) return;
    const std::vector<cv::Rect2d> cells = cells_of(structure);
    first_field_.emplace(in_field(cells, 0), strokes_of(structure.line));
    second_field_.emplace(in_field(cells, 1), strokes_of(structure.line));
}

// In an interlaced picture the digit may change between the fields; then the first field alone is
// read, else both together.
void CellReader::sample(const cv::Mat1b& luma, std::span<GlyphPatch> patches) {
    whole_.sample(luma, patches);
    if (!interlaced_ || luma.rows < 4) return;
    constexpr double kSameGlyph = 0.8;
    std::array<GlyphPatch, most_line_cells> of_first;
    std::array<GlyphPatch, most_line_cells> of_second;
    first_field_->sample(field_of(luma, 0), std::span(of_first).first(patches.size()));
    second_field_->sample(field_of(luma, 1), std::span(of_second).first(patches.size()));
    for (std::size_t i = 0; i < patches.size(); ++i) {
        if (likeness(of_first[i], of_second[i]) < kSameGlyph) patches[i] = of_first[i];
    }
}

void CellReader::look(const LineCrop& crop, CellGlyphs& glyphs) {
    const std::size_t cells = whole_.cells();
    glyphs.count = static_cast<int>(cells);
    glyphs.patches.resize(cells);
    glyphs.features.resize(cells);
    glyphs.log_probs.resize(cells);
    sample(crop.luma, glyphs.patches);
    net_.classify_with_features(glyphs.patches, glyphs.log_probs, glyphs.features);
}

std::array<std::uint8_t, most_line_cells> edges_of(const CellGlyphs& glyphs) {
    std::array<std::uint8_t, most_line_cells> edges{};
    for (int cell = 0; cell < glyphs.count; ++cell) {
        const double level = std::sqrt(square_of_edges(glyphs.patches[cell])) / 4.0;
        edges[cell] = static_cast<std::uint8_t>(std::lround(std::min(level, 255.0)));
    }
    return edges;
}

CellCosts costs_of(std::span<const GlyphLogProbs> seen) {
    CellCosts costs{};
    for (std::size_t i = 0; i < seen.size(); ++i) costs[i] = class_costs(seen[i]);
    return costs;
}

}  // namespace sondeline
