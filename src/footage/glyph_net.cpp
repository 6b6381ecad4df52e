#include "footage/glyph_net.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "footage/glyph_layers.hpp"
#include "footage/glyph_weights.hpp"

namespace sondeline {

namespace {

constexpr int channels_1 = 16;
constexpr int channels_2 = 32;
constexpr int half_height = patch_height / 2;
constexpr int half_width = patch_width / 2;
constexpr int quarter_size = (half_height / 2) * (half_width / 2) * channels_2;

// The patch carries a frame of one zero pixel, so that the window never asks where it is.
constexpr int framed_size = (patch_height + 2) * (patch_width + 2);

// Registers of any width are filled by whole groups of outputs.
constexpr int most_lanes = 16;
static_assert(channels_1 % most_lanes == 0 && channels_2 % most_lanes == 0 &&
              glyph_feature_count % most_lanes == 0);

// Weights of one layer, by input, then output. Registers are loaded from whole lines of the cache.
template <int Inputs, int Outputs>
struct alignas(most_lanes * sizeof(float)) Layer {
    std::array<float, static_cast<std::size_t>(Inputs) * Outputs> weights;
    std::array<float, Outputs> bias;

    explicit Layer(const StoredLayer& stored) {
        for (std::size_t i = 0; i < weights.size(); ++i) {
            weights[i] = static_cast<float>(stored.numbers[i]) * stored.scales[i % Outputs];
        }
        std::ranges::copy(stored.bias, bias.begin());
    }
};

struct Greys {
    float mean = 0.0F;
    float deviation = 0.0F;

    bool have_contrast() const {
        constexpr float kLeast = 1e-3F;  // grey levels
        return deviation >= kLeast && std::isfinite(deviation);
    }
};

// Of several patches at a time: a sum is a chain of steps that wait for each other, and so other
// sums are added up meanwhile.
constexpr std::size_t together = 8;

std::array<Greys, together> greys_of(std::span<const GlyphPatch> patches) {
    constexpr auto count = static_cast<float>(patch_width * patch_height);
    std::array<const float*, together> from;
    for (std::size_t p = 0; p < together; ++p) {
        from[p] = patches[std::min(p, patches.size() - 1)].data();
    }
    std::array<Greys, together> greys;
    float sums[together] = {};
    for (int i = 0; i < patch_width * patch_height; ++i) {
        for (std::size_t p = 0; p < together; ++p) sums[p] += from[p][i];
    }
    for (std::size_t p = 0; p < together; ++p) greys[p].mean = sums[p] / count;
    float squares[together] = {};
    for (int i = 0; i < patch_width * patch_height; ++i) {
        for (std::size_t p = 0; p < together; ++p) {
            const float away = from[p][i] - greys[p].mean;
            squares[p] += away * away;
        }
    }
    for (std::size_t p = 0; p < together; ++p) greys[p].deviation = std::sqrt(squares[p] / count);
    return greys;
}

// Zero mean and unit standard deviation into a framed picture.
void normalise(const GlyphPatch& patch, const Greys& greys, float* framed_picture) {
    auto value = patch.begin();
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            framed_picture[(y + 1) * (patch_width + 2) + x + 1] =
                (*value++ - greys.mean) / greys.deviation;
        }
    }
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
    Layer<9, channels_1> first;
    Layer<9 * channels_1, channels_2> second;
    Layer<quarter_size, glyph_feature_count> hidden;

    explicit InnerLayers(const StoredNet& stored)
        : first(stored.first_convolution),
          second(stored.second_convolution),
          hidden(stored.hidden) {}

    // `picture` is normalised and framed.
    template <int Count>
    [[gnu::always_inline]] inline void pass(const float* picture, float* out) const {
        float half[half_height * half_width * channels_1];
        convolve_and_pool<Count, patch_height, patch_width, channels_1>(
            picture, first.weights.data(), first.bias.data(), half);
        KeptPicture<half_height, half_width, channels_1, channels_2> kept_half;
        kept_half.template take<Count>(half);
        float quarter[quarter_size];
        convolve_and_pool<Count>(kept_half, second.weights.data(), second.bias.data(), quarter);
        KeptInput kept[quarter_size + room_beyond_kept];
        int start = 0;
        const int count = keep_inputs_for<Count>(
            quarter, {.length = quarter_size, .outputs = glyph_feature_count}, kept, &start);
        connect<Count, glyph_feature_count>({kept, static_cast<std::size_t>(count)},
                                            hidden.weights.data(), hidden.bias.data(), out);
        for (int i = 0; i < glyph_feature_count; ++i) out[i] = std::max(out[i], 0.0F);
    }

    void pass_with_least(const float* picture, float* out) const { pass<4>(picture, out); }
#if defined(__x86_64__)
    [[gnu::target("avx2")]] void pass_with_avx2(const float* picture, float* out) const {
        pass<8>(picture, out);
    }
    [[gnu::target("avx512f")]] void pass_with_avx512(const float* picture, float* out) const {
        pass<16>(picture, out);
    }
#endif
    using Pass = void (InnerLayers::*)(const float*, float*) const;
    Pass widest_pass = pass_of_machine();

    static Pass pass_of_machine() {
#if defined(__x86_64__)
        if (__builtin_cpu_supports("avx512f") != 0) return &InnerLayers::pass_with_avx512;
        if (__builtin_cpu_supports("avx2") != 0) return &InnerLayers::pass_with_avx2;
#endif
        return &InnerLayers::pass_with_least;
    }

    void features(const GlyphPatch& patch, const Greys& greys, GlyphFeatures& out) const {
        float picture[framed_size] = {};
        normalise(patch, greys, picture);
        (this->*widest_pass)(picture, out.data());
    }
};

std::string_view name(Glyph glyph) {
    constexpr std::array<std::string_view, glyph_count> names{
        "0", "1", "2", "3", "4", "5",  "6", "7", "8", "9",     "-",
        "+", ".", ":", "/", "'", "\"", "f", "t", "m", "blank", "other"};
    return names[static_cast<std::size_t>(glyph)];
}

GlyphLogProbs classify_features(const GlyphFeatures& features, const LastLayer& layer) {
    KeptInput kept[glyph_feature_count + room_beyond_kept];
    int start = 0;
    const int count = keep_inputs(
        features.data(), {.length = glyph_feature_count, .outputs = glyph_sums}, kept, &start);
    float sums[glyph_sums];
    connect<4, glyph_sums>({kept, static_cast<std::size_t>(count)}, layer.weights.front().data(),
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
    inner_ = std::make_shared<const InnerLayers>(stored);
    const Layer<glyph_feature_count, glyph_count> last(stored.last);
    for (std::size_t i = 0; i < glyph_feature_count; ++i) {
        for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
            last_layer_.weights[i][glyph] = last.weights[i * glyph_count + glyph];
        }
    }
    std::ranges::copy(last.bias, last_layer_.bias.begin());
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
    for (std::size_t first = 0; first < patches.size(); first += together) {
        const std::size_t count = std::min(together, patches.size() - first);
        const std::array<Greys, together> greys = greys_of(patches.subspan(first, count));
        for (std::size_t i = 0; i < count; ++i) {
            GlyphFeatures& of_patch = features[first + i];
            if (greys[i].have_contrast()) {
                inner_->features(patches[first + i], greys[i], of_patch);
                out[first + i] = classify_features(of_patch, last_layer_);
            } else {
                of_patch.fill(0.0F);
                out[first + i] = surely_blank();
            }
        }
    }
}

}  // namespace sondeline
