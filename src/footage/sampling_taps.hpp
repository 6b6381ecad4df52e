// Which pixels of a picture make each pixel of a patch, along one axis.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

namespace sondeline {

// Tent filter, one source pixel or one patch pixel in radius, whichever is the larger: bilinear
// when enlarging, averaging when reducing.
template <int Size>
struct SamplingTaps {
    std::array<int, Size> first{};  // may lie outside the picture; read clamped
    std::array<int, Size> count{};
    std::vector<float> weights;  // `room` for each patch pixel
    int room = 0;

    SamplingTaps() = default;

    // `cell_start` and `cell_size` in source pixels, the others in patch pixels.
    SamplingTaps(double cell_start, double cell_size, int patch_start, int patch_extent) {
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

    int begin() const { return first.front(); }
    int end() const { return first.back() + count.back(); }
};

}  // namespace sondeline
