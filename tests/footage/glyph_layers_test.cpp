#include "footage/glyph_layers.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "footage/glyph_net.hpp"
#include "footage/glyph_weights.hpp"
#include "support/training/formula_patch.hpp"

namespace sondeline {
namespace {

// The network as its header describes it, one number after the other: no outside source.

struct Picture {
    int height = 0;
    int width = 0;
    int channels = 0;
    std::vector<float> values;

    float at(int y, int x, int channel) const {
        if (y < 0 || y >= height || x < 0 || x >= width) return 0.0F;
        const int place = (y * width + x) * channels + channel;
        return values[static_cast<std::size_t>(place)];
    }
};

float weight(const StoredLayer& layer, std::size_t input, std::size_t output) {
    const std::size_t outputs = layer.scales.size();
    return static_cast<float>(layer.numbers[input * outputs + output]) * layer.scales[output];
}

Picture convolved(const Picture& in, const StoredLayer& layer) {
    Picture out{in.height, in.width, static_cast<int>(layer.scales.size()), {}};
    for (int y = 0; y < in.height; ++y) {
        for (int x = 0; x < in.width; ++x) {
            for (std::size_t to = 0; to < layer.scales.size(); ++to) {
                float sum = layer.bias[to];
                std::size_t input = 0;
                for (int tap = 0; tap < 9; ++tap) {
                    for (int c = 0; c < in.channels; ++c, ++input) {
                        const float value = in.at(y + tap / 3 - 1, x + tap % 3 - 1, c);
                        sum += value * weight(layer, input, to);
                    }
                }
                out.values.push_back(sum);
            }
        }
    }
    return out;
}

Picture pooled(const Picture& in) {
    Picture out{in.height / 2, in.width / 2, in.channels, {}};
    for (int y = 0; y < in.height; y += 2) {
        for (int x = 0; x < in.width; x += 2) {
            for (int c = 0; c < in.channels; ++c) {
                out.values.push_back(std::max({0.0F, in.at(y, x, c), in.at(y, x + 1, c),
                                               in.at(y + 1, x, c), in.at(y + 1, x + 1, c)}));
            }
        }
    }
    return out;
}

Picture normalised(const GlyphPatch& patch) {
    constexpr auto count = static_cast<float>(patch_width * patch_height);
    float sum = 0.0F;
    for (const float value : patch) sum += value;
    const float mean = sum / count;
    float square = 0.0F;
    for (const float value : patch) square += (value - mean) * (value - mean);
    Picture picture{patch_height, patch_width, 1, {}};
    for (const float value : patch) {
        picture.values.push_back((value - mean) / std::sqrt(square / count));
    }
    return picture;
}

GlyphFeatures plainly_computed(const GlyphPatch& patch) {
    const StoredNet net = stored_glyph_net();
    const Picture half = pooled(convolved(normalised(patch), net.first_convolution));
    const Picture quarter = pooled(convolved(half, net.second_convolution));
    GlyphFeatures features;
    for (std::size_t to = 0; to < features.size(); ++to) {
        float sum = net.hidden.bias[to];
        for (std::size_t i = 0; i < quarter.values.size(); ++i) {
            sum += quarter.values[i] * weight(net.hidden, i, to);
        }
        features[to] = std::max(sum, 0.0F);
    }
    return features;
}

// More patches than are worked on together.
TEST(GlyphLayers, GiveWhatPlainSumsGiveToTheBit) {
    std::vector<GlyphPatch> patches(11);
    for (int i = 0; i < 11; ++i) patches[static_cast<std::size_t>(i)] = support::formula_patch(i);
    std::vector<GlyphLogProbs> answers(patches.size());
    std::vector<GlyphFeatures> features(patches.size());
    GlyphNet{}.classify_with_features(patches, answers, features);
    for (std::size_t i = 0; i < patches.size(); ++i) {
        EXPECT_EQ(features[i], plainly_computed(patches[i])) << i;
    }
}

std::vector<float> some_inputs(std::size_t count) {
    std::vector<float> inputs(count, 0.0F);
    for (std::size_t i = 0; i < count; ++i) {
        if (i * i % 7 < 3) inputs[i] = 0.5F + static_cast<float>(i);
    }
    return inputs;
}

TEST(GlyphLayers, ListTheInputsThatAreNotZeroRunByRun) {
    const InputRuns runs{.runs = 3, .length = 16, .weights = 100, .outputs = 4};
    const std::vector<float> inputs = some_inputs(48);
    std::vector<KeptInput> kept(48 + room_beyond_kept);
    int starts[3] = {};
    const int count = keep_inputs(inputs.data(), runs, kept.data(), starts);
    int next = 0;
    for (int i = 0; i < 48; ++i) {
        if (i % 16 == 0) {
            EXPECT_EQ(starts[i / 16], next);
        }
        if (inputs[static_cast<std::size_t>(i)] == 0.0F) continue;
        EXPECT_EQ(kept[static_cast<std::size_t>(next)].value, inputs[static_cast<std::size_t>(i)]);
        EXPECT_EQ(kept[static_cast<std::size_t>(next)].weights, 100 + 4 * i);
        ++next;
    }
    EXPECT_EQ(count, next);
}

#if defined(__x86_64__)
TEST(GlyphLayers, ListTheSameInputsWithWideRegisters) {
    if (__builtin_cpu_supports("avx512f") == 0) GTEST_SKIP() << "this processor has no AVX-512";
    const InputRuns runs{.runs = 8, .length = 32, .weights = 64, .outputs = 32};
    const std::vector<float> inputs = some_inputs(256);
    std::vector<KeptInput> plain(256 + room_beyond_kept);
    std::vector<KeptInput> wide(256 + room_beyond_kept);
    int plain_starts[8] = {};
    int wide_starts[8] = {};
    const int count = keep_inputs(inputs.data(), runs, plain.data(), plain_starts);
    ASSERT_EQ(keep_inputs_with_avx512(inputs.data(), runs, wide.data(), wide_starts), count);
    EXPECT_TRUE(std::ranges::equal(plain_starts, wide_starts));
    for (std::size_t i = 0; i < static_cast<std::size_t>(count); ++i) {
        EXPECT_EQ(wide[i].value, plain[i].value) << i;
        EXPECT_EQ(wide[i].weights, plain[i].weights) << i;
    }
}
#endif

}  // namespace
}  // namespace sondeline
