#include "support/typeface.hpp"

#include <gtest/gtest.h>

#include "support/overlay_text.hpp"

namespace sondeline::support {
namespace {

Typeface face(const std::string& file, int height_px) {
    return Typeface::open(find_font(file), height_px).value();
}

TEST(Typeface, DrawsDigitsOfTheHeightAskedFor) {
    for (const char* file : {"DejaVuSansMono.ttf", "Roboto-Regular.ttf", "terminus-bold.otb"}) {
        for (const int height_px : {16, 24, 36}) {
            const DrawnText drawn = face(file, height_px).draw("8");
            EXPECT_NEAR(drawn.ink.at(0).height, height_px, 1.01) << file;
        }
    }
}

TEST(Typeface, GivesEveryCharacterTheWidthOfZeroInFixedPitch) {
    const TextShape fixed{.fixed_pitch = true};
    const DrawnText drawn = face("Roboto-Regular.ttf", 30).draw("0.1 '", fixed);
    ASSERT_EQ(drawn.cells.size(), 5U);
    for (const cv::Rect& cell : drawn.cells) EXPECT_EQ(cell.width, drawn.cells[0].width);
}

TEST(Typeface, BoxesTheInkOfEachCharacterTightly) {
    const DrawnText drawn = face("DejaVuSans.ttf", 28).draw("4 7");
    ASSERT_EQ(drawn.ink.size(), 3U);
    EXPECT_TRUE(drawn.ink[1].empty());
    cv::Mat1b rest = drawn.coverage.clone();
    for (const cv::Rect& ink : {drawn.ink[0], drawn.ink[2]}) {
        EXPECT_GT(cv::countNonZero(drawn.coverage(ink).row(0)), 0);
        EXPECT_GT(cv::countNonZero(drawn.coverage(ink).row(ink.height - 1)), 0);
        rest(ink) = 0;
    }
    EXPECT_EQ(cv::countNonZero(rest), 0);
}

TEST(Typeface, TakesTheLettersOfUtf8) {
    EXPECT_EQ(face("DejaVuSans.ttf", 28).draw("3°é").cells.size(), 3U);
}

TEST(Typeface, RefusesWhatIsNoFont) {
    EXPECT_FALSE(Typeface::open("/dev/null", 24));
    EXPECT_FALSE(Typeface::open(find_font("DejaVuSans.ttf"), 0));
}

}  // namespace
}  // namespace sondeline::support
