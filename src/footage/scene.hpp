// A coarse picture of the scene, to tell whether anything moved.
#pragma once

#include <span>

#include <opencv2/core.hpp>

#include "sondeline/footage.hpp"

namespace sondeline {

// 40 x 30 mean grey levels with the picture's mean taken away, so that exposure steps count little.
cv::Mat1f coarse_picture(const cv::Mat1b& luma);

// Mean absolute difference of two coarse pictures, in grey levels.
float picture_difference(const cv::Mat1f& a, const cv::Mat1f& b);

// Differences between neighbouring rows over those between rows of one field: 0.5 to 0.9 in
// progressive pictures, above 1 where the scene moved between the two fields of an interlaced one.
// Edges that `other`, a picture of another time, has as well are left out: type in scan lines
// differs from row to row too, and stands still. 0 when the pictures differ in size.
double comb_ratio(const cv::Mat1b& luma, const cv::Mat1b& other);

// How much the scene changed from one sample to the next, leaving the overlay out.
class MotionMeter {
  public:
    // `hidden`: boxes of overlay text in a picture of `size`.
    MotionMeter(std::span<const PixelBox> hidden, cv::Size size);

    // Against the picture of the call before; negative on the first call.
    float motion_to(const cv::Mat1b& luma);

  private:
    cv::Mat1f weight_;  // 0 where overlay text stands, else 1
    cv::Mat1f last_;
};

}  // namespace sondeline
