#include "footage/water/unrolled.hpp"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

cv::Mat1b any_picture() {
    cv::Mat1b picture(107, 160);
    cv::RNG chance(3);
    chance.fill(picture, cv::RNG::UNIFORM, 0, 256);
    return picture;
}

// About a point near the picture's edge, so that much lies beyond it.
PolarMap map_near_edge(const cv::Mat1b& picture) {
    return polar_map(cv::Mat1b(picture.size(), uchar{0}), {131.3, 20.7},
                     radii_by_depth(10.7, 66.3, 40));
}

Unrolled by_opencv(const cv::Mat1b& picture, const PolarMap& map) {
    cv::Mat1f x(map.known.size());
    cv::Mat1f y(map.known.size());
    for (int row = 0; row < x.rows; ++row) {
        const double angle = 2.0 * CV_PI * row / unrolled_directions;
        for (int col = 0; col < x.cols; ++col) {
            const double r = map.radius[static_cast<std::size_t>(col)];
            x(row, col) = static_cast<float>(131.3 + r * std::cos(angle));
            y(row, col) = static_cast<float>(20.7 + r * std::sin(angle));
        }
    }
    cv::Mat places;
    cv::Mat between;
    cv::convertMaps(x, y, places, between, CV_16SC2);
    cv::Mat1b grey;
    cv::remap(picture, grey, places, between, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
    Unrolled out;
    grey.convertTo(out.level, CV_32F, 1.0, unrolled_black);
    cv::log(out.level, out.level);
    return out;
}

// Against OpenCV's own remap and logarithm.
TEST(Unrolled, UnrollsAsOpenCvDoesToTheLastBit) {
    const cv::Mat1b picture = any_picture();
    const PolarMap map = map_near_edge(picture);
    const cv::Mat1f level = unroll(picture, map).level;
    EXPECT_EQ(cv::countNonZero(level != by_opencv(picture, map).level), 0);
    EXPECT_GT(cv::countNonZero(map.known == 0), 100);
}

// Against OpenCV's own mean of boxes.
TEST(Unrolled, TakesAwayTheMeanOfABoxAsOpenCvDoesToTheLastBit) {
    const cv::Mat1b picture = any_picture();
    const Unrolled wall = unroll(picture, map_near_edge(picture));
    constexpr int kRound = 9;
    cv::Mat1f wide;
    cv::copyMakeBorder(wall.level, wide, kRound, kRound, 0, 0, cv::BORDER_WRAP);
    cv::Mat1f mean;
    cv::blur(wide, mean, {9, 9}, {-1, -1}, cv::BORDER_REFLECT);
    const cv::Mat1f expected = wall.level - mean.rowRange(kRound, kRound + unrolled_directions);
    EXPECT_EQ(cv::countNonZero(detail_of(wall).level != expected), 0);
}

}  // namespace
}  // namespace sondeline
