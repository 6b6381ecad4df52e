#include "footage/scene.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

// A smooth wall, moved along by so many pixels.
cv::Mat1b wall(int moved_px) {
    cv::Mat1b luma(240, 320);
    for (int y = 0; y < luma.rows; ++y) {
        for (int x = 0; x < luma.cols; ++x) {
            const double wave =
                std::sin(0.11 * (x + moved_px)) + std::cos(0.07 * (y + 0.6 * (x + moved_px)));
            luma(y, x) = static_cast<std::uint8_t>(std::lround(110.0 + 30.0 * wave));
        }
    }
    return luma;
}

// A black box with rows of white dots, each second row of it dark.
void write_in_scan_lines(cv::Mat1b& luma) {
    const cv::Rect box(20, 20, 200, 22);
    luma(box) = 0;
    for (int y = box.y + 2; y < box.br().y - 2; y += 2) {
        for (int x = box.x + 4; x < box.br().x - 4; x += 8) luma(cv::Rect(x, y, 5, 1)) = 235;
    }
}

// Rows taken in turn from either picture, as the fields of one.
cv::Mat1b in_fields(const cv::Mat1b& even, const cv::Mat1b& odd) {
    cv::Mat1b luma = even.clone();
    for (int y = 1; y < luma.rows; y += 2) odd.row(y).copyTo(luma.row(y));
    return luma;
}

TEST(CombRatio, OfAMovingWallIsBelowOneInAWholePictureAndAboveOneInTwoFields) {
    EXPECT_LT(comb_ratio(wall(40), wall(0)), 0.9);
    EXPECT_GT(comb_ratio(in_fields(wall(40), wall(46)), in_fields(wall(0), wall(6))), 1.5);
}

TEST(CombRatio, IsNotRaisedByTypeInScanLinesThatStandsStill) {
    cv::Mat1b picture = wall(40);
    cv::Mat1b other = wall(0);
    const double without = comb_ratio(picture, other);
    write_in_scan_lines(picture);
    ASSERT_GT(comb_ratio(picture, other), 1.0);  // not in the other picture: it may be combing
    write_in_scan_lines(other);
    EXPECT_LT(comb_ratio(picture, other), without + 0.1);
}

TEST(CombRatio, IsNoneForPicturesOfTwoSizes) {
    EXPECT_EQ(comb_ratio(wall(0), wall(0).rowRange(0, 200)), 0.0);
}

}  // namespace
}  // namespace sondeline
