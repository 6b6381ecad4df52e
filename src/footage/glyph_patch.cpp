#include <algorithm>
#include <cmath>
#include <vector>

#include "footage/glyph_net.hpp"

namespace sondeline {

namespace {

// Beyond this a cell is no overlay text, and sampling it would only cost time.
constexpr double largest_side_px = 4096.0;

// Which source pixels make one patch pixel, along one axis.
struct Taps {
    int first = 0;  // may lie outside the picture; read clamped
    std::vector<float> weights;
};

// Tent filter, one source pixel or one patch pixel in radius, whichever is the larger: bilinear
// when enlarging, averaging when reducing.
Taps taps_at(double centre, double source_per_patch) {
    const double radius = std::max(1.0, source_per_patch);
    Taps taps;
    taps.first = static_cast<int>(std::ceil(centre - radius));
    const int last = static_cast<int>(std::floor(centre + radius));
    double sum = 0.0;
    for (int pixel = taps.first; pixel <= last; ++pixel) {
        const double weight = 1.0 - std::abs(pixel - centre) / radius;
        taps.weights.push_back(static_cast<float>(weight));
        sum += weight;
    }
    for (float& weight : taps.weights) weight /= static_cast<float>(sum);
    return taps;
}

// `cell_start` and `cell_size` in source pixels, the others in patch pixels.
std::vector<Taps> taps_along(double cell_start, double cell_size, int patch_start, int patch_extent,
                             int patch_size) {
    const double source_per_patch = cell_size / patch_extent;
    std::vector<Taps> all;
    for (int i = 0; i < patch_size; ++i) {
        const double centre = cell_start + (i + 0.5 - patch_start) * source_per_patch - 0.5;
        all.push_back(taps_at(centre, source_per_patch));
    }
    return all;
}

template <typename Pixel>
void sample_row(const Pixel* row, int columns, const std::vector<Taps>& across, float* to) {
    for (int i = 0; i < patch_width; ++i) {
        const Taps& taps = across[static_cast<std::size_t>(i)];
        float sum = 0.0F;
        int column = taps.first;
        for (const float weight : taps.weights) {
            sum += weight * static_cast<float>(row[std::clamp(column++, 0, columns - 1)]);
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
    const auto across =
        taps_along(cell.x, cell.width, patch_cell_left, patch_cell_width, patch_width);
    const auto down =
        taps_along(cell.y, cell.height, patch_cell_top, patch_cell_height, patch_height);
    const int top = down.front().first;
    const int bottom = down.back().first + static_cast<int>(down.back().weights.size());
    std::vector<float> rows(static_cast<std::size_t>(bottom - top) * patch_width);
    for (int y = top; y < bottom; ++y) {
        sample_row(luma[std::clamp(y, 0, luma.rows - 1)], luma.cols, across,
                   &rows[static_cast<std::size_t>(y - top) * patch_width]);
    }
    const float sign = strokes == Strokes::bright ? 1.0F : -1.0F;
    for (std::size_t y = 0; y < patch_height; ++y) {
        const float* row = &rows[static_cast<std::size_t>(down[y].first - top) * patch_width];
        float* to = &patch[y * patch_width];
        for (const float weight : down[y].weights) {
            for (int x = 0; x < patch_width; ++x) to[x] += sign * weight * row[x];
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
