#include "footage/overlay.hpp"

#include <random>

#include <gmock/gmock.h>
#include <opencv2/imgproc.hpp>

#include "support/footage.hpp"

namespace sondeline {
namespace {

support::Scenario pushed_past_a_wall(const std::string& look, int height_px, bool interlaced) {
    const std::string interlacing = interlaced ? "true" : "false";
    const std::string style =
        R"("digit_height_px": )" + std::to_string(height_px) + R"(, "look": ")" + look + R"(")";
    return support::parse_scenario(
        R"({"seed": 5, "overlays": [[
            {"role": "counter", "x": 40, "y": -30, "counter": {"scale": "ft", "places": 4}, )" +
        style + R"(}, {"role": "clock", "x": -40, "y": 24, )" + style +
        R"(}, {"role": "title", "text": "LINE 3", "x": 40, "y": 24, )" + style + R"(}]],
        "story": [{"do": "push", "to_m": 3.2, "speed": 0.4}],
        "encoding": {"rate": "8", "interlaced": )" +
        interlacing + "}}");
}

double shared(const PixelBox& a, const cv::Rect& b) {
    const cv::Rect box(a.x, a.y, a.width, a.height);
    return static_cast<double>((box & b).area()) / (box | b).area();
}

struct Style {
    const char* name;
    const char* look;
    int height_px;
    bool interlaced;
};

class OverlayOfStyle : public ::testing::TestWithParam<Style> {};

TEST_P(OverlayOfStyle, IsFoundLineByLine) {
    const support::Scenario scenario =
        pushed_past_a_wall(GetParam().look, GetParam().height_px, GetParam().interlaced);
    GradientCoherence coherence(GetParam().interlaced);
    support::each_frame(scenario, [&](const support::Frame& frame, const support::FrameTruth&) {
        coherence.add(frame.y);
    });
    ASSERT_GT(coherence.frames(), 20);
    const std::vector<TextLine> lines = coherence.lines(10);
    const std::vector<support::FieldBox> boxes = support::overlay_boxes(scenario);
    EXPECT_EQ(lines.size(), boxes.size());
    for (const support::FieldBox& box : boxes) {
        double best = 0.0;
        for (const TextLine& line : lines) best = std::max(best, shared(line.box, box.box));
        EXPECT_GT(best, 0.55) << "at " << box.box;
    }
    for (const TextLine& line : lines) EXPECT_TRUE(line.light_on_dark);
}

INSTANTIATE_TEST_SUITE_P(Overlay, OverlayOfStyle,
                         ::testing::Values(Style{"outline", "outline", 22, false},
                                           Style{"plain", "plain", 16, false},
                                           Style{"black_box", "black box", 28, false},
                                           Style{"faint", "faint outline", 18, false},
                                           Style{"interlaced", "outline", 20, true}),
                         [](const auto& style) { return std::string(style.param.name); });

TEST(Overlay, IsPartedIntoFieldsWhereOneRowHoldsSeveral) {
    const support::Scenario scenario = support::parse_scenario(R"({"seed": 5, "overlays": [[
            {"role": "counter", "x": 40, "y": -30, "look": "outline", "digit_height_px": 18,
             "counter": {"scale": "ft", "places": 4, "prefix": "DISTANCE "}}]],
        "story": [{"do": "push", "to_m": 3.2, "speed": 0.4}], "encoding": {"rate": "8"}})");
    GradientCoherence coherence(false);
    support::each_frame(scenario, [&](const support::Frame& frame, const support::FrameTruth&) {
        coherence.add(frame.y);
    });
    std::vector<TextLine> lines = coherence.lines(10);
    ASSERT_GE(lines.size(), 2U);  // the word, and the digits with or without the unit
    const auto most_restless = std::max_element(
        lines.begin(), lines.end(),
        [](const TextLine& a, const TextLine& b) { return a.restless < b.restless; });
    const int width = support::overlay_boxes(scenario)[0].box.width;
    EXPECT_NEAR(most_restless->box.x, 40 + width * 9 / 18, 4);  // the tenth of 18 characters
    EXPECT_GE(most_restless->box.width, width * 6 / 18 - 6);
    EXPECT_LE(most_restless->box.width, width * 9 / 18 + 6);
}

TEST(Overlay, IsNotSeenInAMovingPictureWithoutText) {
    std::mt19937 random(3);
    cv::Mat1b wall(700, 900);
    for (std::uint8_t& pixel : wall) pixel = static_cast<std::uint8_t>(random() % 256);
    cv::GaussianBlur(wall, wall, {}, 4.0);
    cv::normalize(wall, wall, 0, 255, cv::NORM_MINMAX);
    GradientCoherence coherence(false);
    for (int i = 0; i < 40; ++i) {
        coherence.add(wall(cv::Rect(7 * i % 230, 5 * i % 210, 640, 480)));
    }
    EXPECT_GT(coherence.frames(), 30);
    EXPECT_TRUE(coherence.lines(10).empty());
}

TEST(Overlay, TakesARestingCameraAsOneScene) {
    cv::Mat1b picture(480, 640);
    cv::randu(picture, 0, 255);
    GradientCoherence coherence(false);
    for (int i = 0; i < 20; ++i) coherence.add(picture);
    EXPECT_EQ(coherence.frames(), 1);
    EXPECT_TRUE(coherence.lines(10).empty());
}

TEST(Overlay, WithDarkStrokesIsSaidToBeDark) {
    std::mt19937 random(3);
    cv::Mat1b wall(700, 900);
    for (std::uint8_t& pixel : wall) pixel = static_cast<std::uint8_t>(random() % 256);
    cv::GaussianBlur(wall, wall, {}, 4.0);
    cv::normalize(wall, wall, 130, 255, cv::NORM_MINMAX);
    GradientCoherence coherence(false);
    for (int i = 0; i < 40; ++i) {
        cv::Mat1b picture = wall(cv::Rect(7 * i % 230, 5 * i % 210, 640, 480)).clone();
        cv::putText(picture, "0123.4 m", {60, 400}, cv::FONT_HERSHEY_SIMPLEX, 1.0, 10, 3);
        coherence.add(picture);
    }
    const std::vector<TextLine> lines = coherence.lines(10);
    ASSERT_EQ(lines.size(), 1U);
    EXPECT_FALSE(lines[0].light_on_dark);
}

TEST(Overlay, IgnoresPicturesTooSmallForText) {
    GradientCoherence coherence(false);
    EXPECT_FALSE(coherence.add(cv::Mat1b::zeros(4, 4)));
    EXPECT_TRUE(coherence.lines(10).empty());
}

}  // namespace
}  // namespace sondeline
