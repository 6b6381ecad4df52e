// Looks for standing water in the frames that are sampled for the counter.
#pragma once

#include <deque>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "sondeline/footage.hpp"

#include "footage/codec.hpp"
#include "footage/water/water_look.hpp"

namespace sondeline {

// Memory: about 400 bytes a look, and 8 MB in all.
class WaterWatch {
  public:
    // `hidden`: boxes of overlay text in a picture of `size`.
    WaterWatch(std::span<const PixelBox> hidden, cv::Size size);

    // The next sampled frame, in order of time.
    void take(double time_s, const cv::Mat1b& luma);

    std::vector<WaterLook> finish();

  private:
    bool scaled(const cv::Mat1b& luma, cv::Mat1b& small);
    cv::Mat1b small_picture(const cv::Mat1b& luma);
    void close_first();
    void tell_looks(std::size_t kept);

    cv::Mat1b unseen_;
    std::unique_ptr<SwsContext, ScalerFreer> scaler_;
    std::deque<WaterEye> eyes_;             // by time, while they are followed
    std::optional<cv::Point2d> vanishing_;  // where it was found last …
    double vanishing_s_ = 0.0;              // … and when
    std::vector<WaterSight> sights_;        // not told yet, but for the first `told_` of them
    std::size_t told_ = 0;
    std::vector<WaterLook> looks_;
};

}  // namespace sondeline
