#include "footage/cell_sampler.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <stdexcept>

#include "footage/lanes.hpp"

namespace sondeline {

namespace {

constexpr int block = 16;  // rows, and columns, that are turned at a time

using Bytes [[gnu::vector_size(block)]] = std::uint8_t;
using Four [[gnu::vector_size(4 * sizeof(float))]] = float;

// Exchanges rows and columns: four times over, the first half of the rows and the second are
// shuffled into each other like two halves of a pack of cards.
void turn(Bytes (&rows)[block]) {
    for (int round = 0; round < 4; ++round) {
        Bytes shuffled[block];
        for (int i = 0; i < block / 2; ++i) {
            const Bytes& a = rows[i];
            const Bytes& b = rows[i + block / 2];
            shuffled[2 * i] = __builtin_shufflevector(a, b, 0, 16, 1, 17, 2, 18, 3, 19, 4, 20, 5,
                                                      21, 6, 22, 7, 23);
            shuffled[2 * i + 1] = __builtin_shufflevector(a, b, 8, 24, 9, 25, 10, 26, 11, 27, 12,
                                                          28, 13, 29, 14, 30, 15, 31);
        }
        std::memcpy(rows, shuffled, sizeof rows);
    }
}

// The same for four by four, from `from` to `to`, whose rows lie `block` floats apart.
void turn_four(const float* from, float* to) {
    Four rows[4];
    for (int i = 0; i < 4; ++i) std::memcpy(&rows[i], from + i * block, sizeof rows[i]);
    for (int round = 0; round < 2; ++round) {
        const Four shuffled[4] = {__builtin_shufflevector(rows[0], rows[2], 0, 4, 1, 5),
                                  __builtin_shufflevector(rows[0], rows[2], 2, 6, 3, 7),
                                  __builtin_shufflevector(rows[1], rows[3], 0, 4, 1, 5),
                                  __builtin_shufflevector(rows[1], rows[3], 2, 6, 3, 7)};
        std::memcpy(rows, shuffled, sizeof rows);
    }
    for (int i = 0; i < 4; ++i) std::memcpy(to + i * block, &rows[i], sizeof rows[i]);
}

// `block` pixels of a row from `column` on; what lies beyond it is as its last pixel.
Bytes pixels_of(const std::uint8_t* row, int columns, int column) {
    Bytes pixels;
    if (column >= 0 && column + block <= columns) {
        std::memcpy(&pixels, row + column, sizeof pixels);
    } else {
        for (int i = 0; i < block; ++i) pixels[i] = row[std::clamp(column + i, 0, columns - 1)];
    }
    return pixels;
}

bool is_usable(const cv::Rect2d& cell) {
    constexpr double kLargest_px = 512.0;
    return cell.width > 0.0 && cell.height > 0.0 && cell.width <= kLargest_px &&
           cell.height <= kLargest_px && std::abs(cell.x) <= 1e6 && std::abs(cell.y) <= 1e6;
}

}  // namespace

CellSampler::CellSampler(std::span<const cv::Rect2d> cells, Strokes strokes)
    : cells_(cells.begin(), cells.end()), strokes_(strokes) {
    if (cells.empty()) return;
    one_by_one_ = !std::ranges::all_of(cells, is_usable);
    if (one_by_one_) return;
    down_ = {cells[0].y, cells[0].height, patch_cell_top, patch_cell_height};
    blocks_ = (down_.end() - down_.begin() + block - 1) / block;
    int end = 0;
    for (const cv::Rect2d& cell : cells) {
        across_.emplace_back(cell.x, cell.width, patch_cell_left, patch_cell_width);
        const bool first = across_.size() == 1;
        first_column_ =
            first ? across_.back().begin() : std::min(first_column_, across_.back().begin());
        end = first ? across_.back().end() : std::max(end, across_.back().end());
    }
    constexpr int kWidest_px = 8192;
    one_by_one_ = end - first_column_ > kWidest_px;
    if (one_by_one_) return;
    columns_ = (end - first_column_ + block - 1) / block * block;
    strip_.resize(static_cast<std::size_t>(blocks_) * columns_ * block);
    rows_.resize(static_cast<std::size_t>(blocks_) * block * patch_width);
}

void CellSampler::cut_strip(const cv::Mat1b& luma) {
    float* to = strip_.data();
    for (int y = 0; y < blocks_ * block; y += block) {
        const std::uint8_t* rows[block];
        for (int i = 0; i < block; ++i) {
            rows[i] = luma[std::clamp(down_.begin() + y + i, 0, luma.rows - 1)];
        }
        for (int x = 0; x < columns_; x += block) {
            Bytes pixels[block];
            for (int i = 0; i < block; ++i) {
                pixels[i] = pixels_of(rows[i], luma.cols, first_column_ + x);
            }
            turn(pixels);
            std::uint8_t greys[block * block];
            std::memcpy(greys, pixels, sizeof greys);
            for (int i = 0; i < block * block; ++i) to[i] = static_cast<float>(greys[i]);
            to += block * block;
        }
    }
}

// `block` sums of rows of greys, each taken so many times.
template <int Count>
[[gnu::always_inline]] inline void weighed_sum(const float* rows, const float* weights, float sign,
                                               int count, float* to) {
    constexpr int groups = block / Count;
    Lanes<Count> sums[groups]{};
    for (int k = 0; k < count; ++k, rows += block) {
        each_below<groups>([&](auto g) __attribute__((always_inline)) {
            Lanes<Count> greys;
            greys.load(rows + g * Count);
            sums[g].add_product(sign * weights[k], greys);
        });
    }
    std::memcpy(to, sums, sizeof sums);
}

template <int Count>
[[gnu::always_inline]] inline GlyphPatch CellSampler::patch_by(
    const SamplingTaps<patch_width>& across) {
    for (int y = 0; y < blocks_; ++y) {
        const float* strip = strip_.data() + static_cast<std::ptrdiff_t>(y) * columns_ * block;
        float sampled[patch_width * block];
        for (int x = 0; x < patch_width; ++x) {
            weighed_sum<Count>(strip + (across.first[x] - first_column_) * block, across.of(x),
                               1.0F, across.count[x], sampled + x * block);
        }
        float* to = rows_.data() + static_cast<std::ptrdiff_t>(y) * block * patch_width;
        for (int i = 0; i < block; i += 4) {
            for (int x = 0; x < patch_width; x += 4) {
                turn_four(sampled + x * block + i, to + i * patch_width + x);
            }
        }
    }
    GlyphPatch patch;
    const float sign = strokes_ == Strokes::bright ? 1.0F : -1.0F;
    for (int y = 0; y < patch_height; ++y) {
        const auto row = static_cast<std::ptrdiff_t>(down_.first[y] - down_.begin()) * patch_width;
        weighed_sum<Count>(rows_.data() + row, down_.of(y), sign, down_.count[y],
                           patch.data() + static_cast<std::ptrdiff_t>(y) * patch_width);
    }
    return patch;
}

GlyphPatch CellSampler::patch_with_least(const SamplingTaps<patch_width>& across) {
    return patch_by<4>(across);
}

#if defined(__x86_64__)
[[gnu::target("avx2")]] GlyphPatch CellSampler::patch_with_avx2(
    const SamplingTaps<patch_width>& across) {
    return patch_by<8>(across);
}

[[gnu::target("avx512f")]] GlyphPatch CellSampler::patch_with_avx512(
    const SamplingTaps<patch_width>& across) {
    return patch_by<16>(across);
}
#endif

CellSampler::PatchOf CellSampler::patch_of_machine() {
#if defined(__x86_64__)
    if (__builtin_cpu_supports("avx512f") != 0) return &CellSampler::patch_with_avx512;
    if (__builtin_cpu_supports("avx2") != 0) return &CellSampler::patch_with_avx2;
#endif
    return &CellSampler::patch_with_least;
}

void CellSampler::sample(const cv::Mat1b& luma, std::span<GlyphPatch> patches) {
    if (patches.size() != cells_.size()) throw std::invalid_argument("one patch per cell");
    if (one_by_one_ || luma.empty()) {
        for (std::size_t i = 0; i < cells_.size(); ++i) {
            patches[i] = patch_from(luma, cells_[i], strokes_);
        }
        return;
    }
    if (cells_.empty()) return;
    cut_strip(luma);
    for (std::size_t i = 0; i < cells_.size(); ++i) patches[i] = (this->*patch_of_)(across_[i]);
}

std::vector<GlyphPatch> patches_from(const cv::Mat1b& luma, std::span<const cv::Rect2d> cells,
                                     Strokes strokes) {
    std::vector<GlyphPatch> patches(cells.size());
    CellSampler(cells, strokes).sample(luma, patches);
    return patches;
}

}  // namespace sondeline
