#include "footage/glyph_net.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <stdexcept>
#include <type_traits>
#include <utility>
#include <vector>

#include "footage/glyph_weights.hpp"

namespace sondeline {

namespace {

constexpr int channels_1 = 16;
constexpr int channels_2 = 32;
constexpr int half_height = patch_height / 2;
constexpr int half_width = patch_width / 2;
constexpr int quarter_size = (half_height / 2) * (half_width / 2) * channels_2;

// Pictures carry a frame of one zero pixel, so that the window never asks where it is.
constexpr int framed(int height, int width, int channels) {
    return (height + 2) * (width + 2) * channels;
}

// Weights by input, then output, each input's outputs filled up with zeros to whole lanes.
std::vector<float> weights_of(const StoredLayer& layer, int padded) {
    const std::size_t outputs = layer.scales.size();
    const std::size_t inputs = layer.numbers.size() / outputs;
    std::vector<float> weights(inputs * static_cast<std::size_t>(padded), 0.0F);
    for (std::size_t i = 0; i < layer.numbers.size(); ++i) {
        const std::size_t to = i / outputs * static_cast<std::size_t>(padded) + i % outputs;
        weights[to] = static_cast<float>(layer.numbers[i]) * layer.scales[i % outputs];
    }
    return weights;
}

// Outputs side by side in one register, four with SSE2, eight with AVX2. Every output is added up
// in the same order either way and products are not fused: the results are the same to the bit.
template <int Count>
struct Lanes {
    typedef float Values __attribute__((vector_size(Count * sizeof(float))));
    Values values;

    [[gnu::always_inline]] inline void load(const float* from) {
        std::memcpy(&values, from, sizeof values);
    }
    [[gnu::always_inline]] inline void add_product(float factor, const Lanes& other) {
        values += factor * other.values;
    }
    [[gnu::always_inline]] inline void raise_to(const Lanes& other) {
        values = values > other.values ? values : other.values;
    }
};

constexpr int most_lanes = 8;

constexpr int padded(int outputs) {
    return (outputs + most_lanes - 1) / most_lanes * most_lanes;
}
static_assert(padded(glyph_count) == glyph_sums);

// Calls `action` with each number below `Count` as a constant: an array that is indexed by
// constants alone is kept in registers.
template <int Count, class Action>
[[gnu::always_inline]] inline void each_below(Action action) {
    [&]<int... I>(std::integer_sequence<int, I...>) __attribute__((always_inline)) {
        (action(std::integral_constant<int, I>{}), ...);
    }
    (std::make_integer_sequence<int, Count>{});
}

// Raises `most` to the sums of a 3x3 convolution at the first `Pixels` of four that lie in a
// square, for all outputs. `window` is the top left of what the first pixel sees.
template <int Pixels, int In, int InStride, int Count, int Groups>
[[gnu::always_inline]] inline void raise_to_sums(const float* window, const float* weights,
                                                 const float* bias, Lanes<Count> (&most)[Groups]) {
    Lanes<Count> sums[Pixels][Groups];
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
            sums[p][g].load(bias + g * Count);
        });
    });
    for (int ky = 0; ky < 3; ++ky) {
        const float* input = window + ky * InStride;
#pragma GCC unroll 2
        for (int i = 0; i < 3 * In; ++i, ++input, weights += Groups * Count) {
            each_below<Groups>([&](auto g) __attribute__((always_inline)) {
                Lanes<Count> weight;
                weight.load(weights + g * Count);
                each_below<Pixels>([&](auto p) __attribute__((always_inline)) {
                    sums[p][g].add_product(input[p % 2 * In + p / 2 * InStride], weight);
                });
            });
        }
    }
    each_below<Groups>([&](auto g) __attribute__((always_inline)) {
        each_below<Pixels>([&](auto p)
                               __attribute__((always_inline)) { most[g].raise_to(sums[p][g]); });
    });
}

// 3x3 convolution, 2x2 maximum and rectifier in one go. `in` is framed; `out` begins at the first
// pixel and has `out_stride` floats from row to row.
template <int Count, int Height, int Width, int In, int Out>
[[gnu::always_inline]] inline void convolve_and_pool(const float* in, const float* weights,
                                                     const float* bias, float* out,
                                                     int out_stride) {
    constexpr int in_stride = (Width + 2) * In;
    constexpr int groups = padded(Out) / Count;
    constexpr int together = groups <= 2 ? 4 : 2;  // pixels, as registers allow
    for (int y = 0; y < Height; y += 2) {
        for (int x = 0; x < Width; x += 2) {
            const float* window = in + y * in_stride + x * In;
            Lanes<Count> most[groups]{};
            for (int row = 0; row < 4 / together; ++row) {
                raise_to_sums<together, In, in_stride>(window + row * in_stride, weights, bias,
                                                       most);
            }
            std::memcpy(out + (y / 2) * out_stride + (x / 2) * Out, most, sizeof(float) * Out);
        }
    }
}

// Sums of a full layer: every input's weights lie side by side, filled up to whole lanes.
template <int Count, int In, int Out>
[[gnu::always_inline]] inline void connect(const float* in, const float* weights, const float* bias,
                                           float* out) {
    constexpr int groups = padded(Out) / Count;
    constexpr int together = groups % 8 == 0 ? 8 : groups % 6 == 0 ? 6 : 3;
    static_assert(groups % together == 0);
    for (int first = 0; first < padded(Out); first += together * Count) {
        Lanes<Count> sums[together];
        each_below<together>([&](auto g) __attribute__((always_inline)) {
            sums[g].load(bias + first + g * Count);
        });
        for (int i = 0; i < In; ++i) {
            const float* row = weights + i * padded(Out) + first;
            each_below<together>([&](auto g) __attribute__((always_inline)) {
                Lanes<Count> weight;
                weight.load(row + g * Count);
                sums[g].add_product(in[i], weight);
            });
        }
        std::memcpy(out + first, sums, sizeof sums);
    }
}

// Zero mean and unit standard deviation into a framed picture; false when there is no contrast.
bool normalise(const GlyphPatch& patch, float* framed_picture) {
    constexpr auto count = static_cast<float>(patch_width * patch_height);
    float sum = 0.0F;
    for (const float value : patch) sum += value;
    const float mean = sum / count;
    float square = 0.0F;
    for (const float value : patch) square += (value - mean) * (value - mean);
    const float deviation = std::sqrt(square / count);
    constexpr float least_contrast = 1e-3F;  // grey levels
    if (!(deviation >= least_contrast) || !std::isfinite(deviation)) return false;
    auto value = patch.begin();
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            framed_picture[(y + 1) * (patch_width + 2) + x + 1] = (*value++ - mean) / deviation;
        }
    }
    return true;
}

// What stands in for a patch without contrast: surely a blank, as far as a network can be sure.
GlyphLogProbs surely_blank() {
    constexpr float share_of_others = 1e-4F;
    GlyphLogProbs log_probs;
    log_probs.fill(std::log(share_of_others));
    log_probs[static_cast<std::size_t>(Glyph::blank)] =
        std::log(1.0F - share_of_others * (glyph_count - 1));
    return log_probs;
}

}  // namespace

struct GlyphNet::InnerLayers {
    std::vector<float> first, second, hidden;
    std::vector<float> first_bias, second_bias, hidden_bias;

    // `picture` is normalised and framed.
    template <int Count>
    [[gnu::always_inline]] inline void pass(const float* picture, float* out) const {
        float half[framed(half_height, half_width, channels_1)] = {};
        float quarter[quarter_size];
        constexpr int half_stride = (half_width + 2) * channels_1;
        convolve_and_pool<Count, patch_height, patch_width, 1, channels_1>(
            picture, first.data(), first_bias.data(), half + half_stride + channels_1, half_stride);
        convolve_and_pool<Count, half_height, half_width, channels_1, channels_2>(
            half, second.data(), second_bias.data(), quarter, (half_width / 2) * channels_2);
        connect<Count, quarter_size, glyph_feature_count>(quarter, hidden.data(),
                                                          hidden_bias.data(), out);
        for (int i = 0; i < glyph_feature_count; ++i) out[i] = std::max(out[i], 0.0F);
    }

#if defined(__x86_64__)
    [[gnu::target("avx2")]] void pass_with_avx2(const float* picture, float* out) const {
        pass<8>(picture, out);
    }
    bool avx2 = __builtin_cpu_supports("avx2") != 0;
#endif

    // False when the patch has no contrast.
    bool features(const GlyphPatch& patch, GlyphFeatures& out) const {
        float picture[framed(patch_height, patch_width, 1)] = {};
        if (!normalise(patch, picture)) return false;
#if defined(__x86_64__)
        if (avx2) {
            pass_with_avx2(picture, out.data());
            return true;
        }
#endif
        pass<4>(picture, out.data());
        return true;
    }
};

std::string_view name(Glyph glyph) {
    constexpr std::array<std::string_view, glyph_count> names{
        "0", "1", "2", "3", "4", "5",  "6", "7", "8", "9",     "-",
        "+", ".", ":", "/", "'", "\"", "f", "t", "m", "blank", "other"};
    return names[static_cast<std::size_t>(glyph)];
}

GlyphLogProbs classify_features(const GlyphFeatures& features, const LastLayer& layer) {
    float sums[glyph_sums];
    connect<4, glyph_feature_count, glyph_count>(features.data(), layer.weights.front().data(),
                                                 layer.bias.data(), sums);
    GlyphLogProbs scores;
    std::copy_n(sums, scores.size(), scores.begin());
    const float largest = *std::ranges::max_element(scores);
    float total = 0.0F;
    for (const float score : scores) total += std::exp(score - largest);
    const float log_total = largest + std::log(total);
    for (float& score : scores) score -= log_total;
    return scores;
}

GlyphNet::GlyphNet() {
    const StoredNet stored = stored_glyph_net();
    const auto bias_of = [](const StoredLayer& layer) {
        std::vector<float> bias(layer.bias.begin(), layer.bias.end());
        bias.resize(static_cast<std::size_t>(padded(static_cast<int>(bias.size()))), 0.0F);
        return bias;
    };
    inner_ = std::make_shared<const InnerLayers>(InnerLayers{
        weights_of(stored.first_convolution, padded(channels_1)),
        weights_of(stored.second_convolution, padded(channels_2)),
        weights_of(stored.hidden, glyph_feature_count), bias_of(stored.first_convolution),
        bias_of(stored.second_convolution), bias_of(stored.hidden)});
    const std::vector<float> last = weights_of(stored.last, glyph_count);
    for (std::size_t i = 0; i < glyph_feature_count; ++i) {
        for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
            last_layer_.weights[i][glyph] = last[i * glyph_count + glyph];
        }
    }
    std::ranges::copy(stored.last.bias, last_layer_.bias.begin());
}

void GlyphNet::classify(std::span<const GlyphPatch> patches, std::span<GlyphLogProbs> out) const {
    std::vector<GlyphFeatures> features(patches.size());
    classify_with_features(patches, out, features);
}

void GlyphNet::classify_with_features(std::span<const GlyphPatch> patches,
                                      std::span<GlyphLogProbs> out,
                                      std::span<GlyphFeatures> features) const {
    if (out.size() != patches.size() || features.size() != patches.size()) {
        throw std::invalid_argument("one answer per patch");
    }
    for (std::size_t i = 0; i < patches.size(); ++i) {
        if (inner_->features(patches[i], features[i])) {
            out[i] = classify_features(features[i], last_layer_);
        } else {
            features[i].fill(0.0F);
            out[i] = surely_blank();
        }
    }
}

}  // namespace sondeline
