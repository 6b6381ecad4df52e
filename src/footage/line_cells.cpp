#include "footage/line_cells.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include <opencv2/imgproc.hpp>

#include "footage/own_glyphs.hpp"

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

// Whether two patches show the same glyph: their correlation.
double likeness(const GlyphPatch& a, const GlyphPatch& b) {
    const cv::Mat1f first(1, static_cast<int>(a.size()), const_cast<float*>(a.data()));
    const cv::Mat1f second(1, static_cast<int>(b.size()), const_cast<float*>(b.data()));
    cv::Mat1f result;
    cv::matchTemplate(first, second, result, cv::TM_CCOEFF_NORMED);
    return result(0, 0);
}

// In an interlaced picture the digit may change between the fields; then the first field alone is
// read, else both together.
GlyphPatch patch_of_cell(const cv::Mat1b& luma, const cv::Rect2d& cell, const LocatedLine& line) {
    const Strokes strokes = line.light_on_dark ? Strokes::bright : Strokes::dark;
    if (!line.interlaced || luma.rows < 4) return patch_from(luma, cell, strokes);
    constexpr double kSameGlyph = 0.8;
    const cv::Rect2d first(cell.x, (cell.y + 0.5) / 2.0, cell.width, cell.height / 2.0);
    const cv::Rect2d second(cell.x, (cell.y - 0.5) / 2.0, cell.width, cell.height / 2.0);
    const GlyphPatch of_first = patch_from(field_of(luma, 0), first, strokes);
    const GlyphPatch of_second = patch_from(field_of(luma, 1), second, strokes);
    return likeness(of_first, of_second) < kSameGlyph ? of_first : patch_from(luma, cell, strokes);
}

}  // namespace

CellGlyphs look_at_cells(const LineCrop& crop, const LineStructure& structure,
                         const GlyphNet& net) {
    CellGlyphs glyphs;
    glyphs.count = static_cast<int>(structure.cell_left_px.size());
    const auto cells = static_cast<std::size_t>(glyphs.count);
    for (std::size_t i = 0; i < cells; ++i) {
        const cv::Rect2d cell(structure.cell_left_px[i], structure.row_top_px,
                              structure.cell_width_px[i], structure.row_height_px);
        glyphs.patches[i] = patch_of_cell(crop.luma, cell, structure.line);
    }
    net.classify_with_features(std::span(glyphs.patches).first(cells),
                               std::span(glyphs.log_probs).first(cells),
                               std::span(glyphs.features).first(cells));
    return glyphs;
}

CellCosts costs_of(const CellGlyphs& glyphs, const OwnGlyphs* own) {
    CellCosts costs{};
    for (int i = 0; i < glyphs.count; ++i) {
        costs[i] =
            class_costs(own == nullptr ? glyphs.log_probs[i]
                                       : seen_by(*own, glyphs.features[i], glyphs.patches[i]));
    }
    return costs;
}

}  // namespace sondeline
