#include <algorithm>
#include <cmath>
#include <vector>

#include "footage/glyph_net.hpp"
#include "footage/sampling_taps.hpp"

namespace sondeline {

namespace {

// Beyond this a cell is no overlay text, and sampling it would only cost time.
constexpr double largest_side_px = 4096.0;

template <typename Pixel>
void sample_row(const Pixel* row, int columns, const SamplingTaps<patch_width>& across, float* to) {
    const bool inside = across.begin() >= 0 && across.end() <= columns;
    for (int i = 0; i < patch_width; ++i) {
        const float* weights = across.of(i);
        const int first = across.first[i];
        float sum = 0.0F;
        for (int k = 0; k < across.count[i]; ++k) {
            const int column = inside ? first + k : std::clamp(first + k, 0, columns - 1);
            sum += weights[k] * static_cast<float>(row[column]);
        }
        to[i] = sum;
    }
}

template <typename Pixel>
GlyphPatch sample(const cv::Mat_<Pixel>& luma, const cv::Rect2d& cell, Strokes strokes) {
    GlyphPatch patch{};
    const bool usable = cell.width > 0.0 && cell.height > 0.0 && cell.width <= largest_side_px &&
                        cell.height <= largest_side_px && std::abs(cell.x) <= 1e6 &&
                        std::abs(cell.y) <= 1e6;
    if (luma.empty() || !usable) return patch;
    const SamplingTaps<patch_width> across(cell.x, cell.width, patch_cell_left, patch_cell_width);
    const SamplingTaps<patch_height> down(cell.y, cell.height, patch_cell_top, patch_cell_height);
    const int top = down.begin();
    const int bottom = down.end();
    std::vector<float> rows(static_cast<std::size_t>(bottom - top) * patch_width);
    for (int y = top; y < bottom; ++y) {
        sample_row(luma[std::clamp(y, 0, luma.rows - 1)], luma.cols, across,
                   &rows[static_cast<std::size_t>(y - top) * patch_width]);
    }
    const float sign = strokes == Strokes::bright ? 1.0F : -1.0F;
    for (int y = 0; y < patch_height; ++y) {
        const float* row = &rows[static_cast<std::size_t>(down.first[y] - top) * patch_width];
        float* to = &patch[static_cast<std::size_t>(y) * patch_width];
        const float* weights = down.of(y);
        for (int k = 0; k < down.count[y]; ++k) {
            for (int x = 0; x < patch_width; ++x) to[x] += sign * weights[k] * row[x];
            row += patch_width;
        }
    }
    return patch;
}

}  // namespace

GlyphPatch patch_from(const cv::Mat1b& luma, cv::Rect2d cell, Strokes strokes) {
    return sample(luma, cell, strokes);
}

GlyphPatch patch_from(const cv::Mat1f& luma, cv::Rect2d cell, Strokes strokes) {
    return sample(luma, cell, strokes);
}

}  // namespace sondeline
