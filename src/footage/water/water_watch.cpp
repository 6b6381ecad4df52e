#include "footage/water/water_watch.hpp"

#include <algorithm>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

constexpr double kLookEvery_s = 0.3;
constexpr double kVanishingHolds_s = 1.5;  // the head sways no faster

cv::Size small_size(cv::Size size) {
    const int height =
        cvRound(static_cast<double>(water_picture_width) * size.height / std::max(1, size.width));
    return {water_picture_width, std::clamp(height, 40, 2 * water_picture_width)};
}

}  // namespace

WaterWatch::WaterWatch(std::span<const PixelBox> hidden, cv::Size size)
    : unseen_(small_size(size), uchar{0}) {
    const double across = static_cast<double>(unseen_.cols) / std::max(1, size.width);
    const double down = static_cast<double>(unseen_.rows) / std::max(1, size.height);
    for (const PixelBox& box : hidden) {
        const cv::Point from(cvFloor(box.x * across) - 1, cvFloor(box.y * down) - 1);
        const cv::Point to(cvCeil((box.x + box.width) * across) + 1,
                           cvCeil((box.y + box.height) * down) + 1);
        unseen_(cv::Rect(from, to) & cv::Rect({0, 0}, unseen_.size())) = uchar{255};
    }
}

cv::Mat1b WaterWatch::small_picture(const cv::Mat1b& luma) const {
    cv::Mat1b small;
    cv::resize(luma, small, unseen_.size(), 0.0, 0.0, cv::INTER_AREA);
    return small;
}

void WaterWatch::close() {
    if (eye_) sights_.push_back(eye_->sight());
    eye_.reset();
}

void WaterWatch::take(double time_s, const cv::Mat1b& luma) {
    if (eye_ && time_s < eye_->sight().time_s + kLookEvery_s - 0.01) {
        if (eye_->wants_more()) eye_->follow(small_picture(luma), time_s);
        return;
    }
    const cv::Mat1b small = small_picture(luma);
    close();
    if (time_s > vanishing_s_ + kVanishingHolds_s) vanishing_.reset();
    eye_.emplace(small, unseen_, time_s, vanishing_);
    if (!eye_->vanishing()) return;
    vanishing_ = eye_->vanishing();
    vanishing_s_ = time_s;
}

std::vector<WaterLook> WaterWatch::finish() {
    close();
    return looks_of(std::move(sights_));
}

}  // namespace sondeline
