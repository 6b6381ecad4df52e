#include "footage/stroke_gaps.hpp"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

#include "footage/drawn_line.hpp"

namespace sondeline {
namespace {

// Grey levels by which the two differ where the text stands, on average.
double difference(const LineCrop& a, const LineCrop& b, const LocatedLine& line) {
    const cv::Rect text(line.text.x, line.text.y, line.text.width, line.text.height);
    return cv::norm(a.luma(text), b.luma(text), cv::NORM_L1) / text.area();
}

DrawnLine solid() {
    return drawn_line({"8056.3"}, "DejaVuSansMono-Bold.ttf", 18);
}

TEST(StrokeGaps, OfALineThatHasNoneAreLeftAlone) {
    const DrawnLine drawn = solid();
    EXPECT_EQ(difference(with_gaps_closed(drawn.crops[0], drawn.line), drawn.crops[0], drawn.line),
              0.0);
}

// Whole strokes with every third row dark become whole again.
TEST(StrokeGaps, BetweenScanLinesAreClosed) {
    DrawnLine drawn = solid();
    drawn.crops[0].luma.setTo(80, drawn.crops[0].luma < 100);  // without noise
    LineCrop lines = drawn.crops[0];
    lines.luma = lines.luma.clone();
    for (int y = 0; y < lines.luma.rows; y += 3) lines.luma.row(y) = 80;
    drawn.line.gaps = StrokeGaps::of_light;
    const double open = difference(lines, drawn.crops[0], drawn.line);
    const double closed =
        difference(with_gaps_closed(lines, drawn.line), drawn.crops[0], drawn.line);
    EXPECT_GT(open, 20.0);
    EXPECT_LT(closed, 0.6 * open);
}

TEST(StrokeGaps, BetweenTheTwoEdgesOfAnOutlineAreFilledAndHolesOfDigitsAreNot) {
    DrawnLine drawn = solid();
    drawn.line.gaps = StrokeGaps::of_dark;
    LineCrop crop = drawn.crops[0];
    // A ring of 18 px in an outline: dark, two pixels of wall, dark; the hole within stays wall.
    crop.luma = cv::Mat1b(crop.luma.size(), 150);
    const cv::Rect ring(drawn.line.text.x, drawn.line.text.y, 14, 18);
    const auto frame = [&](int in_px) {
        const cv::Rect edge(ring.x + in_px, ring.y + in_px, ring.width - 2 * in_px,
                            ring.height - 2 * in_px);
        cv::rectangle(crop.luma, edge, 20);
    };
    frame(0);
    frame(3);
    const LineCrop filled = with_gaps_closed(crop, drawn.line);
    EXPECT_EQ(filled.luma(ring.y + 9, ring.x + 1), 20);
    EXPECT_EQ(filled.luma(ring.y + 9, ring.x + 2), 20);
    EXPECT_EQ(filled.luma(ring.y + 9, ring.x + 7), 150);
    EXPECT_EQ(filled.luma(ring.y + 9, ring.x - 3), 150);
}

// Bright wall behind one half of a ring of outlined type, lighter than the type, and wall as dark
// as the outlines behind the other.
TEST(StrokeGaps, OfOutlinesAloneLookAlikeOnWallThatIsLighterThanTheTypeAndDarker) {
    DrawnLine drawn = solid();
    drawn.line.gaps = StrokeGaps::of_outlines_alone;
    LineCrop crop = drawn.crops[0];
    crop.luma = cv::Mat1b(crop.luma.size(), 70);
    const cv::Rect ring(drawn.line.text.x, drawn.line.text.y, 16, 18);
    crop.luma.colRange(0, ring.x + 8) = 250;
    for (int in_px = 0; in_px < 4; ++in_px) {
        const cv::Rect edge(ring.x + in_px, ring.y + in_px, ring.width - 2 * in_px,
                            ring.height - 2 * in_px);
        cv::rectangle(crop.luma, edge, in_px == 0 || in_px == 3 ? 40 : 160);
    }
    const LineCrop alone = with_gaps_closed(crop, drawn.line);
    const int middle = ring.y + 9;
    for (const int stroke : {ring.x + 1, ring.x + 2, ring.x + 13, ring.x + 14}) {
        EXPECT_GE(alone.luma(middle, stroke), 30) << stroke - ring.x;
    }
    for (const int wall : {ring.x - 4, ring.x + 6, ring.x + 9, ring.x + 19}) {
        EXPECT_LE(alone.luma(middle, wall), 5) << wall - ring.x;
    }
}

// Two fields of different brightness: what is filled in one takes nothing from the other.
TEST(StrokeGaps, OfAnInterlacedOutlineAreFilledInEachFieldByItself) {
    DrawnLine drawn = solid();
    drawn.line.gaps = StrokeGaps::of_dark;
    drawn.line.interlaced = true;
    LineCrop crop = drawn.crops[0];
    crop.luma = cv::Mat1b(crop.luma.size(), 150);
    for (int y = 1; y < crop.luma.rows; y += 2) crop.luma.row(y) = 60;
    EXPECT_EQ(difference(with_gaps_closed(crop, drawn.line), crop, drawn.line), 0.0);
    drawn.line.interlaced = false;
    EXPECT_GT(difference(with_gaps_closed(crop, drawn.line), crop, drawn.line), 40.0);
}

}  // namespace
}  // namespace sondeline
