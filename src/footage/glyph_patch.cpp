#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "footage/glyph_net.hpp"

namespace sondeline {

namespace {

// Beyond this a cell is no overlay text, and sampling it would only cost time.
constexpr double largest_side_px = 4096.0;

// Which source pixels make each patch pixel, along one axis: tent filter, one source pixel or one
// patch pixel in radius, whichever is the larger: bilinear when enlarging, averaging when reducing.
template <int Size>
struct Taps {
    std::array<int, Size> first{};  // may lie outside the picture; read clamped
    std::array<int, Size> count{};
    std::vector<float> weights;  // `room` for each patch pixel
    int room = 0;

    // `cell_start` and `cell_size` in source pixels, the others in patch pixels.
    Taps(double cell_start, double cell_size, int patch_start, int patch_extent) {
        const double source_per_patch = cell_size / patch_extent;
        const double radius = std::max(1.0, source_per_patch);
        room = static_cast<int>(2.0 * radius) + 2;
        weights.resize(static_cast<std::size_t>(Size) * static_cast<std::size_t>(room));
        for (int i = 0; i < Size; ++i) {
            const double centre = cell_start + (i + 0.5 - patch_start) * source_per_patch - 0.5;
            first[i] = static_cast<int>(std::ceil(centre - radius));
            count[i] = static_cast<int>(std::floor(centre + radius)) - first[i] + 1;
            double sum = 0.0;
            float* to = of(i);
            for (int k = 0; k < count[i]; ++k) {
                const double weight = 1.0 - std::abs(first[i] + k - centre) / radius;
                to[k] = static_cast<float>(weight);
                sum += weight;
            }
            for (int k = 0; k < count[i]; ++k) to[k] /= static_cast<float>(sum);
        }
    }

    float* of(int i) { return weights.data() + static_cast<std::ptrdiff_t>(i) * room; }
    const float* of(int i) const { return weights.data() + static_cast<std::ptrdiff_t>(i) * room; }
};

template <typename Pixel>
void sample_row(const Pixel* row, int columns, const Taps<patch_width>& across, float* to) {
    const bool inside =
        across.first.front() >= 0 && across.first.back() + across.count.back() <= columns;
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
    const Taps<patch_width> across(cell.x, cell.width, patch_cell_left, patch_cell_width);
    const Taps<patch_height> down(cell.y, cell.height, patch_cell_top, patch_cell_height);
    const int top = down.first.front();
    const int bottom = down.first.back() + down.count.back();
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
