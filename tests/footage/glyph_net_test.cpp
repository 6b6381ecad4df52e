#include "footage/glyph_net.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "footage/glyph_known_answers.hpp"
#include "support/training/faces.hpp"
#include "support/training/formula_patch.hpp"
#include "support/training/glyph_samples.hpp"

namespace sondeline {
namespace {

// The trainer's own forward pass, through Eigen's matrix products, is the outside reference here.
TEST(GlyphNet, GivesTheAnswersThatTheTrainerGave) {
    const GlyphNet net;
    std::vector<GlyphPatch> patches;
    for (int i = 0; i < static_cast<int>(std::size(known_answers)); ++i) {
        patches.push_back(support::formula_patch(i));
    }
    std::vector<GlyphLogProbs> answers(patches.size());
    net.classify(patches, answers);
    for (std::size_t i = 0; i < patches.size(); ++i) {
        for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
            EXPECT_NEAR(answers[i][glyph], known_answers[i][glyph], 2e-3) << i << " " << glyph;
        }
    }
}

TEST(GlyphNet, GivesProbabilitiesThatAddUpToOne) {
    const GlyphNet net;
    std::vector<GlyphPatch> patches(2);
    patches[0] = support::formula_patch(3);
    std::vector<GlyphLogProbs> answers(2);
    net.classify(patches, answers);
    for (const GlyphLogProbs& answer : answers) {
        double sum = 0.0;
        for (const float log_probability : answer) sum += std::exp(log_probability);
        EXPECT_NEAR(sum, 1.0, 1e-4);
    }
}

TEST(GlyphNet, TakesAPatchWithoutContrastForABlank) {
    const GlyphNet net;
    const std::vector<GlyphPatch> patches(1);
    std::vector<GlyphLogProbs> answers(1);
    net.classify(patches, answers);
    EXPECT_GT(answers[0][static_cast<std::size_t>(Glyph::blank)], -0.1F);
}

TEST(GlyphNet, DoesNotMindBrightnessOrContrast) {
    const GlyphNet net;
    std::vector<GlyphPatch> patches(2, support::formula_patch(1));
    for (float& value : patches[1]) value = 0.25F * value + 12.0F;
    std::vector<GlyphLogProbs> answers(2);
    net.classify(patches, answers);
    for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
        EXPECT_NEAR(answers[0][glyph], answers[1][glyph], 1e-3);
    }
}

// The Debian font packages are the outside source: none of these families was trained on.
TEST(GlyphNet, ReadsOrdinaryFacesItWasNotTrainedOn) {
    const GlyphNet net;
    cv::RNG chance(31);
    int right = 0;
    int all = 0;
    for (const support::FaceFile& face : support::held_out_faces()) {
        const bool ordinary = face.family == "Noto Mono" || face.family == "Roboto" ||
                              face.family == "Mononoki" || face.family == "Inconsolata";
        if (!ordinary) continue;
        std::vector<support::GlyphSample> samples;
        for (int i = 0; i < 25; ++i) {
            support::add_line_samples(chance, face.file, {false, false, 16.0, 40.0}, samples);
        }
        for (const support::GlyphSample& sample : samples) {
            if (sample.glyph > Glyph::digit_9 || sample.other_share > 0.0F) continue;
            std::vector<GlyphLogProbs> answer(1);
            net.classify(std::span(&sample.patch, 1), answer);
            const auto best = std::max_element(answer[0].begin(), answer[0].end());
            right += best - answer[0].begin() == static_cast<int>(sample.glyph) ? 1 : 0;
            ++all;
        }
    }
    ASSERT_GT(all, 200);
    EXPECT_GT(static_cast<double>(right) / all, 0.95);
}

}  // namespace
}  // namespace sondeline
