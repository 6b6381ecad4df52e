#include "footage/glyph_net.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include <opencv2/core/hal/intrin.hpp>

#include "footage/glyph_weights.hpp"

namespace sondeline {

namespace {

constexpr int channels_1 = 12;
constexpr int channels_2 = 24;
constexpr int half_height = patch_height / 2;
constexpr int half_width = patch_width / 2;
constexpr int quarter_size = (half_height / 2) * (half_width / 2) * channels_2;

// Pictures carry a frame of one zero pixel, so that the window never asks where it is.
constexpr int framed(int height, int width, int channels) {
    return (height + 2) * (width + 2) * channels;
}

std::vector<float> weights_of(const StoredLayer& layer) {
    const std::size_t outputs = layer.scales.size();
    std::vector<float> weights(layer.numbers.size());
    for (std::size_t i = 0; i < weights.size(); ++i) {
        weights[i] = static_cast<float>(layer.numbers[i]) * layer.scales[i % outputs];
    }
    return weights;
}

using Four = cv::v_float32x4;

// Four outputs of the four pixels that one maximum is taken of.
struct Corners {
    Four top_left, top_right, bottom_left, bottom_right;

    explicit Corners(const float* bias)
        : top_left(cv::v_load(bias)),
          top_right(top_left),
          bottom_left(top_left),
          bottom_right(top_left) {}

    // What one input of the window adds; `input` is that of the top left pixel.
    template <int In, int Stride>
    void add(const float* input, const float* weights) {
        const Four weight = cv::v_load(weights);
        top_left += cv::v_setall_f32(input[0]) * weight;
        top_right += cv::v_setall_f32(input[In]) * weight;
        bottom_left += cv::v_setall_f32(input[Stride]) * weight;
        bottom_right += cv::v_setall_f32(input[Stride + In]) * weight;
    }

    Four rectified_maximum() const {
        return cv::v_max(cv::v_max(cv::v_max(top_left, top_right), cv::v_setzero_f32()),
                         cv::v_max(bottom_left, bottom_right));
    }
};

// 3x3 convolution, 2x2 maximum and rectifier in one go. `in` is framed; `out` begins at the first
// pixel and has `out_stride` floats from row to row.
template <int Height, int Width, int In, int Out>
void convolve_and_pool(const float* in, const float* weights, const float* bias, float* out,
                       int out_stride) {
    static_assert(Out % 12 == 0);
    constexpr int in_stride = (Width + 2) * In;
    for (int y = 0; y < Height; y += 2) {
        for (int x = 0; x < Width; x += 2) {
            const float* window = in + y * in_stride + x * In;
            for (int o = 0; o < Out; o += 12) {
                Corners first(bias + o);
                Corners second(bias + o + 4);
                Corners third(bias + o + 8);
                for (int ky = 0; ky < 3; ++ky) {
                    for (int i = 0; i < 3 * In; ++i) {
                        const float* row = weights + (ky * 3 * In + i) * Out + o;
                        const float* input = window + ky * in_stride + i;
                        first.add<In, in_stride>(input, row);
                        second.add<In, in_stride>(input, row + 4);
                        third.add<In, in_stride>(input, row + 8);
                    }
                }
                float* to = out + (y / 2) * out_stride + (x / 2) * Out + o;
                cv::v_store(to, first.rectified_maximum());
                cv::v_store(to + 4, second.rectified_maximum());
                cv::v_store(to + 8, third.rectified_maximum());
            }
        }
    }
}

// Full layer and rectifier.
void connect(const float* in, const float* weights, const float* bias, float* out) {
    static_assert(glyph_feature_count % 16 == 0);
    for (int o = 0; o < glyph_feature_count; o += 16) {
        Four first = cv::v_load(bias + o);
        Four second = cv::v_load(bias + o + 4);
        Four third = cv::v_load(bias + o + 8);
        Four fourth = cv::v_load(bias + o + 12);
        for (int i = 0; i < quarter_size; ++i) {
            const Four value = cv::v_setall_f32(in[i]);
            const float* row = weights + i * glyph_feature_count + o;
            first += value * cv::v_load(row);
            second += value * cv::v_load(row + 4);
            third += value * cv::v_load(row + 8);
            fourth += value * cv::v_load(row + 12);
        }
        cv::v_store(out + o, cv::v_max(first, cv::v_setzero_f32()));
        cv::v_store(out + o + 4, cv::v_max(second, cv::v_setzero_f32()));
        cv::v_store(out + o + 8, cv::v_max(third, cv::v_setzero_f32()));
        cv::v_store(out + o + 12, cv::v_max(fourth, cv::v_setzero_f32()));
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

    // False when the patch has no contrast.
    bool features(const GlyphPatch& patch, GlyphFeatures& out) const {
        float picture[framed(patch_height, patch_width, 1)] = {};
        float half[framed(half_height, half_width, channels_1)] = {};
        float quarter[quarter_size];
        if (!normalise(patch, picture)) return false;
        constexpr int half_stride = (half_width + 2) * channels_1;
        convolve_and_pool<patch_height, patch_width, 1, channels_1>(
            picture, first.data(), first_bias.data(), half + half_stride + channels_1, half_stride);
        convolve_and_pool<half_height, half_width, channels_1, channels_2>(
            half, second.data(), second_bias.data(), quarter, (half_width / 2) * channels_2);
        connect(quarter, hidden.data(), hidden_bias.data(), out.data());
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
    GlyphLogProbs scores;
    for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
        float sum = layer.bias[glyph];
        for (std::size_t i = 0; i < glyph_feature_count; ++i) {
            sum += layer.weights[glyph][i] * features[i];
        }
        scores[glyph] = sum;
    }
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
        return std::vector<float>(layer.bias.begin(), layer.bias.end());
    };
    inner_ = std::make_shared<const InnerLayers>(
        InnerLayers{weights_of(stored.first_convolution), weights_of(stored.second_convolution),
                    weights_of(stored.hidden), bias_of(stored.first_convolution),
                    bias_of(stored.second_convolution), bias_of(stored.hidden)});
    const std::vector<float> last = weights_of(stored.last);
    for (std::size_t i = 0; i < glyph_feature_count; ++i) {
        for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
            last_layer_.weights[glyph][i] = last[i * glyph_count + glyph];
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
