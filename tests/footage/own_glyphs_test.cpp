#include "footage/own_glyphs.hpp"

#include <algorithm>
#include <vector>

#include <gtest/gtest.h>
#include <opencv2/core.hpp>

namespace sondeline {
namespace {

// Ten signs of blocks, two by two pixels each, that no network has seen as digits.
class SignsOfBlocks {
  public:
    SignsOfBlocks() {
        cv::RNG chance(20240229);
        for (GlyphPatch& sign : signs_) {
            std::array<bool, 96> filled{};
            for (bool& block : filled) block = chance.uniform(0, 2) == 1;
            for (int y = 0; y < patch_height; ++y) {
                for (int x = 0; x < patch_width; ++x) {
                    sign[y * patch_width + x] = filled[y / 2 * 8 + x / 2] ? 200.0F : 60.0F;
                }
            }
        }
    }

    GlyphPatch noisy(int digit, double noise_sd) {
        GlyphPatch patch = signs_[static_cast<std::size_t>(digit)];
        for (float& value : patch) value += static_cast<float>(chance_.gaussian(noise_sd));
        return patch;
    }

  private:
    std::array<GlyphPatch, 10> signs_{};
    cv::RNG chance_{7};
};

struct Seen {
    std::vector<GlyphPatch> patches;
    std::vector<GlyphFeatures> features;
    std::vector<GlyphLogProbs> by_net;
    std::vector<int> digits;

    std::vector<GlyphExample> as_examples(int read_as_next = -1) const {
        std::vector<GlyphExample> examples;
        for (std::size_t i = 0; i < patches.size(); ++i) {
            const int label = digits[i] == read_as_next ? (digits[i] + 1) % 10 : digits[i];
            examples.push_back({&features[i], &patches[i], static_cast<Glyph>(label), i});
        }
        return examples;
    }
};

Seen seen(SignsOfBlocks& signs, int of_each, double noise_sd, const std::vector<int>& digits) {
    Seen all;
    for (int i = 0; i < of_each; ++i) {
        for (const int digit : digits) {
            all.patches.push_back(signs.noisy(digit, noise_sd));
            all.digits.push_back(digit);
        }
    }
    all.features.resize(all.patches.size());
    all.by_net.resize(all.patches.size());
    GlyphNet{}.classify_with_features(all.patches, all.by_net, all.features);
    return all;
}

int likeliest(const GlyphLogProbs& glyph) {
    return static_cast<int>(std::ranges::max_element(glyph) - glyph.begin());
}

double share_right(const OwnGlyphs& own, const Seen& all) {
    int right = 0;
    for (std::size_t i = 0; i < all.patches.size(); ++i) {
        right += likeliest(seen_by(own, all.features[i], all.patches[i])) == all.digits[i];
    }
    return static_cast<double>(right) / static_cast<double>(all.patches.size());
}

const std::vector<int> kAll{0, 1, 2, 3, 4, 5, 6, 7, 8, 9};

TEST(OwnGlyphs, ReadSignsThatTheNetworkCannotRead) {
    SignsOfBlocks signs;
    const Seen first = seen(signs, 30, 60.0, kAll);
    const Seen later = seen(signs, 30, 60.0, kAll);
    int by_net = 0;
    for (std::size_t i = 0; i < later.by_net.size(); ++i) {
        by_net += likeliest(later.by_net[i]) == later.digits[i];
    }
    EXPECT_LT(by_net, 100);
    EXPECT_GE(share_right(learned(GlyphNet{}.last_layer(), first.as_examples()), later), 0.99);
}

TEST(OwnGlyphs, SayWhatTheNetworkSaysWhenThereWasNothingToLearnFrom) {
    SignsOfBlocks signs;
    const Seen all = seen(signs, 3, 20.0, kAll);
    const OwnGlyphs own = learned(GlyphNet{}.last_layer(), {});
    for (std::size_t i = 0; i < all.patches.size(); ++i) {
        EXPECT_EQ(seen_by(own, all.features[i], all.patches[i]), all.by_net[i]);
    }
}

TEST(OwnGlyphs, DoNotTakeASignThatNeverCameForOneOfThoseThatDid) {
    SignsOfBlocks signs;
    const Seen first = seen(signs, 30, 30.0, {0, 1, 2, 3, 4, 5, 6, 7, 8});
    const Seen nines = seen(signs, 20, 30.0, {9});
    const OwnGlyphs own = learned(GlyphNet{}.last_layer(), first.as_examples());
    for (std::size_t i = 0; i < nines.patches.size(); ++i) {
        const GlyphLogProbs glyph = seen_by(own, nines.features[i], nines.patches[i]);
        EXPECT_LT(*std::max_element(glyph.begin(), glyph.begin() + 9), -1.0F);
    }
}

CounterPath path_with(int sure, int unsure, std::int64_t first_ticks) {
    CounterPath path;
    for (int i = 0; i < sure + unsure; ++i) {
        path.values.push_back({first_ticks + i, i < sure ? 0.999F : 0.5F});
    }
    return path;
}

TEST(OwnGlyphs, AreRefusedWhenFewerReadingsAreSureOrSureOnesChange) {
    const std::vector<CellGlyphs> glyphs(100);
    const std::vector<std::vector<GlyphLogProbs>> seen(100);
    const CounterPath before = path_with(80, 20, 500);
    EXPECT_TRUE(is_sound(before, path_with(90, 10, 500), glyphs, seen));
    EXPECT_FALSE(is_sound(before, path_with(70, 30, 500), glyphs, seen));
    EXPECT_FALSE(is_sound(before, path_with(90, 10, 510), glyphs, seen));
}

}  // namespace
}  // namespace sondeline
