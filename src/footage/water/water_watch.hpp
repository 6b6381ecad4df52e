// Looks for standing water in the frames that are sampled for the counter.
#pragma once

#include <span>
#include <vector>

#include "sondeline/footage.hpp"

#include "footage/water/water_look.hpp"

namespace sondeline {

// Memory: one small picture and about 200 bytes a look.
class WaterWatch {
  public:
    // `hidden`: boxes of overlay text in a picture of `size`.
    WaterWatch(std::span<const PixelBox> hidden, cv::Size size);

    // The next sampled frame, in order of time.
    void take(double time_s, const cv::Mat1b& luma);

    std::vector<WaterLook> finish();

  private:
    cv::Mat1b small_picture(const cv::Mat1b& luma) const;
    void close();

    cv::Mat1b unseen_;
    std::optional<WaterEye> eye_;
    std::optional<cv::Point2d> vanishing_;  // where it was found last …
    double vanishing_s_ = 0.0;              // … and when
    std::vector<WaterSight> sights_;
};

}  // namespace sondeline
