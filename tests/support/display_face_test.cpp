#include "support/display_face.hpp"

#include <gtest/gtest.h>

namespace sondeline::support {
namespace {

TEST(DisplayFace, IsNamedByKindAndNumber) {
    ASSERT_TRUE(display_face("display bars 4"));
    EXPECT_EQ(display_face("display bars 4")->kind, DisplayFace::Kind::bars);
    EXPECT_EQ(display_face("display dots 4")->kind, DisplayFace::Kind::dots);
    EXPECT_NE(display_face("display bars 4")->weight, display_face("display bars 5")->weight);
    EXPECT_FALSE(display_face("DejaVuSansMono.ttf"));
    EXPECT_FALSE(display_face("display bars "));
    EXPECT_FALSE(display_face("display bars 4a"));
}

TEST(DisplayFace, DrawsDigitsOfTheHeightAskedFor) {
    for (const auto kind : {DisplayFace::Kind::bars, DisplayFace::Kind::dots}) {
        for (const int height_px : {14, 24, 48}) {
            const DisplayFace face{.kind = kind, .dot = 1.0};
            const DrawnText drawn = draw_display(face, height_px, "8");
            EXPECT_NEAR(drawn.ink.at(0).height, height_px, 1.01);
            EXPECT_NEAR(drawn.ink.at(0).br().y, drawn.baseline, 1.01);
        }
    }
}

// An 8 lights all seven bars and a 1 two of the six upright and level ones about as long.
TEST(DisplayFace, LightsTheBarsOfEachDigit) {
    const auto lit = [](const std::string& text) {
        return cv::sum(draw_display({}, 40, text).coverage)[0];
    };
    EXPECT_NEAR(lit("1") / lit("8"), 2.0 / 7.0, 0.05);
    EXPECT_NEAR(lit("0") / lit("8"), 6.0 / 7.0, 0.05);
    EXPECT_EQ(lit(" "), 0.0);
}

TEST(DisplayFace, SetsAPointBetweenTwoDigitsWithoutMovingThem) {
    const DrawnText with = draw_display({}, 30, "4.7");
    const DrawnText without = draw_display({}, 30, "47");
    ASSERT_EQ(with.cells.size(), 3U);
    EXPECT_EQ(with.cells[1].width, 0);
    EXPECT_EQ(with.cells[2], without.cells[1]);
    EXPECT_GT(cv::sum(with.coverage)[0], cv::sum(without.coverage)[0]);
}

}  // namespace
}  // namespace sondeline::support
