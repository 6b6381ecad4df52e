#include "footage/water/smooth.hpp"

#include <gtest/gtest.h>
#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

// Against OpenCV's own Gaussian, at all heights that small pictures may have.
TEST(SmoothForPipeView, IsOpenCvsGaussianToTheLastBit) {
    cv::RNG chance(5);
    for (int rows = 40; rows <= 320; ++rows) {
        cv::Mat1b picture(rows, 160);
        chance.fill(picture, cv::RNG::UNIFORM, 0, 256);
        picture(cv::Rect(0, 0, 30, 30)) = uchar{255};
        cv::Mat1b expected;
        cv::GaussianBlur(picture, expected, {}, rows / 60.0);
        EXPECT_EQ(cv::countNonZero(smooth_for_pipe_view(picture) != expected), 0) << rows;
    }
}

}  // namespace
}  // namespace sondeline
