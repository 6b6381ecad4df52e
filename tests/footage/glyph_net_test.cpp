#include "footage/glyph_net.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "footage/glyph_known_answers.hpp"
#include "support/training/faces.hpp"
#include "support/training/formula_patch.hpp"
#include "support/training/glyph_samples.hpp"

namespace sondeline {
namespace {

std::vector<GlyphLogProbs> classified(const GlyphNet& net, const std::vector<GlyphPatch>& patches) {
    std::vector<GlyphLogProbs> answers(patches.size());
    net.classify(patches, answers);
    return answers;
}

float log_probability(const GlyphLogProbs& answer, Glyph glyph) {
    return answer[static_cast<std::size_t>(glyph)];
}

Glyph likeliest(const GlyphLogProbs& answer) {
    return static_cast<Glyph>(std::ranges::max_element(answer) - answer.begin());
}

// ---- the network -----------------------------------------------------------------------------

// The trainer's own forward pass, through Eigen's matrix products, is the outside reference here.
TEST(GlyphNet, GivesTheAnswersThatTheTrainerGave) {
    std::vector<GlyphPatch> patches;
    for (int i = 0; i < static_cast<int>(std::size(known_answers)); ++i) {
        patches.push_back(support::formula_patch(i));
    }
    const auto answers = classified(GlyphNet{}, patches);
    for (std::size_t i = 0; i < patches.size(); ++i) {
        for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
            EXPECT_NEAR(answers[i][glyph], known_answers[i][glyph], 2e-3) << i << " " << glyph;
        }
    }
}

TEST(GlyphNet, GivesProbabilitiesThatAddUpToOne) {
    for (const GlyphLogProbs& answer : classified(GlyphNet{}, {support::formula_patch(3), {}})) {
        double sum = 0.0;
        for (const float log_share : answer) sum += std::exp(log_share);
        EXPECT_NEAR(sum, 1.0, 1e-4);
    }
}

TEST(GlyphNet, TakesAPatchWithoutContrastForABlank) {
    GlyphPatch unknown;
    unknown.fill(std::numeric_limits<float>::quiet_NaN());
    GlyphPatch even;
    even.fill(93.0F);
    for (const GlyphLogProbs& answer : classified(GlyphNet{}, {GlyphPatch{}, even, unknown})) {
        EXPECT_GT(log_probability(answer, Glyph::blank), -0.1F);
        EXPECT_TRUE(std::isfinite(log_probability(answer, Glyph::digit_0)));
    }
}

TEST(GlyphNet, DoesNotMindBrightnessOrContrast) {
    std::vector<GlyphPatch> patches(2, support::formula_patch(1));
    for (float& value : patches[1]) value = 0.25F * value + 12.0F;
    const auto answers = classified(GlyphNet{}, patches);
    for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
        EXPECT_NEAR(answers[0][glyph], answers[1][glyph], 1e-3);
    }
}

TEST(GlyphNet, ReadsKeptFeaturesAsItReadsTheirPatches) {
    const GlyphNet net;
    const std::vector<GlyphPatch> patches{support::formula_patch(0), support::formula_patch(4)};
    std::vector<GlyphLogProbs> answers(2);
    std::vector<GlyphFeatures> features(2);
    net.classify_with_features(patches, answers, features);
    EXPECT_EQ(answers, classified(net, patches));
    EXPECT_EQ(classify_features(features[1], net.last_layer()), answers[1]);
}

TEST(GlyphNet, LeavesItsCopiesTheirOwnLastLayer) {
    const GlyphNet net;
    GlyphNet adapted = net;
    LastLayer layer = net.last_layer();
    layer.bias[static_cast<std::size_t>(Glyph::colon)] += 100.0F;
    adapted.replace_last_layer(layer);
    const std::vector<GlyphPatch> patches{support::formula_patch(2)};
    EXPECT_EQ(likeliest(classified(adapted, patches)[0]), Glyph::colon);
    EXPECT_NE(likeliest(classified(net, patches)[0]), Glyph::colon);
}

TEST(GlyphNet, RefusesAnswersOfAnotherLength) {
    std::vector<GlyphPatch> patches(2);
    std::vector<GlyphLogProbs> answers(1);
    EXPECT_THROW(GlyphNet{}.classify(patches, answers), std::invalid_argument);
}

// ---- faces it was not trained on -------------------------------------------------------------

struct Score {
    int all = 0;
    int right = 0;
    int blanks = 0;
    int blanks_read_as_digits = 0;
    double share_right() const { return static_cast<double>(right) / all; }
};

// Fresh lines in the faces of the families, 16 to 40 px, in every style, through compression.
Score read_lines(const std::set<std::string>& families, int lines_a_face) {
    const GlyphNet net;
    cv::RNG chance(31);
    Score score;
    for (const support::FaceFile& face : support::held_out_faces()) {
        if (!families.contains(face.family)) continue;
        std::vector<support::GlyphSample> samples;
        for (int i = 0; i < lines_a_face; ++i) {
            const support::SampleOptions options{.with_letters = false, .low_px = 16.0};
            support::add_line_samples(chance, face.file, options, samples);
        }
        for (const support::GlyphSample& sample : samples) {
            if (sample.other_share > 0.0F) continue;
            const Glyph read = likeliest(classified(net, {sample.patch})[0]);
            if (sample.glyph <= Glyph::digit_9) {
                ++score.all;
                score.right += read == sample.glyph ? 1 : 0;
            } else if (sample.glyph == Glyph::blank) {
                ++score.blanks;
                score.blanks_read_as_digits += read <= Glyph::digit_9 ? 1 : 0;
            }
        }
    }
    return score;
}

TEST(GlyphNet, IsTestedOnFamiliesThatItWasNotTrainedOn) {
    std::set<std::string> trained;
    for (const support::FaceFile& face : support::training_faces()) trained.insert(face.family);
    for (const support::FaceFile& face : support::held_out_faces()) {
        EXPECT_FALSE(trained.contains(face.family)) << face.family;
        EXPECT_TRUE(std::filesystem::exists(face.file)) << face.file;
    }
}

// The Debian font packages are the outside source: none of these families was trained on.
TEST(GlyphNet, ReadsOrdinaryFacesItWasNotTrainedOn) {
    const Score score =
        read_lines({"Hermit", "Inconsolata", "Mononoki", "Noto Mono", "Roboto"}, 25);
    ASSERT_GT(score.all, 500);
    EXPECT_GT(score.share_right(), 0.97);
}

TEST(GlyphNet, ReadsMostOfOddFacesItWasNotTrainedOn) {
    const Score score =
        read_lines({"DSEG 7-segment", "DotGothic16", "Glass TTY VT220", "OCR-A"}, 25);
    ASSERT_GT(score.all, 400);
    EXPECT_GT(score.share_right(), 0.80);
}

TEST(GlyphNet, SeldomSeesADigitWhereThereIsNoWholeCharacter) {
    const Score score =
        read_lines({"Hermit", "Inconsolata", "Mononoki", "Noto Mono", "Roboto"}, 40);
    ASSERT_GT(score.blanks, 300);
    EXPECT_LT(static_cast<double>(score.blanks_read_as_digits) / score.blanks, 0.05);
}

// ---- patches ---------------------------------------------------------------------------------

float at(const GlyphPatch& patch, int x, int y) {
    return patch[static_cast<std::size_t>(y * patch_width + x)];
}

// By the geometry that the header states: the cell covers columns [2, 14) and rows [3, 21).
TEST(GlyphPatch, HoldsTheCellWithItsStatedMargins) {
    cv::Mat1b picture = cv::Mat1b::zeros(100, 100);
    picture(cv::Rect(40, 20, 24, 36)) = 200;
    const GlyphPatch patch = patch_from(picture, cv::Rect2d(40, 20, 24, 36));
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            const bool well_inside = x > 2 && x < 13 && y > 3 && y < 20;
            const bool well_outside = x < 1 || x > 14 || y < 2 || y > 21;
            if (!well_inside && !well_outside) continue;  // the edge lies here, smoothed
            EXPECT_FLOAT_EQ(at(patch, x, y), well_inside ? 200.0F : 0.0F);
        }
    }
}

TEST(GlyphPatch, TakesPixelsAsTheyAreAtItsOwnScale) {
    cv::Mat1b picture(60, 60);
    for (int y = 0; y < 60; ++y) {
        for (int x = 0; x < 60; ++x) picture(y, x) = static_cast<unsigned char>(x * 7 + y * 13);
    }
    const GlyphPatch patch = patch_from(picture, cv::Rect2d(22, 13, 12, 18));
    for (int y = 0; y < patch_height; ++y) {
        for (int x = 0; x < patch_width; ++x) {
            EXPECT_FLOAT_EQ(at(patch, x, y), picture(10 + y, 20 + x));
        }
    }
}

TEST(GlyphPatch, TurnsDarkStrokesToBright) {
    cv::Mat1b picture(40, 40, static_cast<unsigned char>(180));
    picture(cv::Rect(18, 10, 3, 20)) = 20;
    const cv::Rect2d cell(12, 10, 14, 20);
    const auto answers =
        classified(GlyphNet{}, {patch_from(picture, cell, Strokes::dark),
                                patch_from(cv::Mat1b(255 - picture), cell, Strokes::bright)});
    for (std::size_t glyph = 0; glyph < glyph_count; ++glyph) {
        EXPECT_NEAR(answers[0][glyph], answers[1][glyph], 1e-2);
    }
}

TEST(GlyphPatch, IsTheSameFromWholeAndFromRealGreyLevels) {
    cv::Mat1b picture(50, 50);
    cv::RNG chance(3);
    chance.fill(picture, cv::RNG::UNIFORM, 0, 256);
    cv::Mat1f real;
    picture.convertTo(real, CV_32F);
    const cv::Rect2d cell(10.3, 8.7, 17.5, 29.1);
    EXPECT_EQ(patch_from(picture, cell), patch_from(real, cell));
}

TEST(GlyphPatch, RepeatsTheEdgeOfThePictureBeyondIt) {
    const cv::Mat1b picture(20, 20, static_cast<unsigned char>(77));
    for (const float value : patch_from(picture, cv::Rect2d(-30, 15, 12, 18))) {
        EXPECT_NEAR(value, 77.0F, 1e-3);
    }
}

TEST(GlyphPatch, IsZeroForWhatIsNoCell) {
    const cv::Mat1b picture(20, 20, static_cast<unsigned char>(77));
    const double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_EQ(patch_from(picture, cv::Rect2d(2, 2, 0, 10)), GlyphPatch{});
    EXPECT_EQ(patch_from(picture, cv::Rect2d(2, 2, 5, -1)), GlyphPatch{});
    EXPECT_EQ(patch_from(picture, cv::Rect2d(nan, 2, 5, 5)), GlyphPatch{});
    EXPECT_EQ(patch_from(picture, cv::Rect2d(2, 2, 1e9, 1e9)), GlyphPatch{});
    EXPECT_EQ(patch_from(cv::Mat1b(), cv::Rect2d(2, 2, 5, 5)), GlyphPatch{});
}

}  // namespace
}  // namespace sondeline
