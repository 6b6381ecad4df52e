#include "footage/water/water_watch.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

constexpr double kLookEvery_s = 0.3;
// Sights that are followed together, over two minutes.
constexpr std::size_t kWindow = 440;
constexpr std::size_t kAgain = 40;
constexpr double kSlack_s = 0.01;
// In a wide pipe, or when the head is slow, the wall has moved too little by the next look.
constexpr double kLaterAgain_s = 0.45;
constexpr double kFollowedFor_s = 0.65;
constexpr double kVanishingHolds_s = 6.0;  // as long as glare or drops on the lens hide the circles

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

namespace {

// Of 0 … 255, half to the even one. A number that large has no bits left for parts of one, so that
// the sum is rounded, and its last bits are the whole part: done for many at once.
uchar rounded(float value) {
    constexpr float kNoParts = 12582912.0F;  // 1.5 · 2²³
    return static_cast<uchar>(std::bit_cast<std::uint32_t>(value + kNoParts));
}

// `Width` pixels across, or, where it is 0, as many as asked: known beforehand, they are added up
// for many blocks at once, in less than half the time.
template <int Width>
void mean_of_blocks_across(const cv::Mat1b& from, cv::Size times, cv::Mat1b& to) {
    const int width = Width > 0 ? Width : times.width;
    // Rows are added up first: that is done for many pixels at once.
    std::vector<std::uint16_t> column(static_cast<std::size_t>(to.cols * width));
    std::vector<std::int32_t> sum(static_cast<std::size_t>(to.cols));
    const float share = 1.0F / static_cast<float>(times.area());
    for (int row = 0; row < to.rows; ++row) {
        std::ranges::fill(column, std::uint16_t{0});
        for (int k = 0; k < times.height; ++k) {
            const uchar* line = from.ptr<uchar>(row * times.height + k);
            for (std::size_t i = 0; i < column.size(); ++i)
                column[i] = static_cast<std::uint16_t>(column[i] + line[i]);
        }
        const std::uint16_t* next = column.data();
        for (int col = 0; col < to.cols; ++col) {
            int block = 0;
            for (int k = 0; k < width; ++k) block += next[col * width + k];
            sum[static_cast<std::size_t>(col)] = block;
        }
        uchar* mean = to.ptr<uchar>(row);
        for (std::size_t col = 0; col < sum.size(); ++col)
            mean[col] = rounded(static_cast<float>(sum[col]) * share);
    }
}

// Mean of blocks of `times` pixels, half a grey level to the even one, as cv::resize has it.
void mean_of_blocks(const cv::Mat1b& from, cv::Size times, cv::Mat1b& to) {
    switch (times.width) {  // of recordings 320, 640, 1280 and 1920 pixels wide
        case 2: mean_of_blocks_across<2>(from, times, to); break;
        case 4: mean_of_blocks_across<4>(from, times, to); break;
        case 8: mean_of_blocks_across<8>(from, times, to); break;
        case 12: mean_of_blocks_across<12>(from, times, to); break;
        default: mean_of_blocks_across<0>(from, times, to);
    }
}

}  // namespace

// False when the sizes are such that the library will not do it.
bool WaterWatch::scaled(const cv::Mat1b& luma, cv::Mat1b& small) {
    scaler_.reset(sws_getCachedContext(
        scaler_.release(), luma.cols, luma.rows, AV_PIX_FMT_GRAY8, small.cols, small.rows,
        AV_PIX_FMT_GRAY8, SWS_AREA | SWS_ACCURATE_RND | SWS_BITEXACT, nullptr, nullptr, nullptr));
    if (scaler_ == nullptr) return false;
    const std::uint8_t* from[4] = {luma.data, nullptr, nullptr, nullptr};
    const int from_strides[4] = {static_cast<int>(luma.step), 0, 0, 0};
    std::uint8_t* to[4] = {small.data, nullptr, nullptr, nullptr};
    const int to_strides[4] = {static_cast<int>(small.step), 0, 0, 0};
    return sws_scale(scaler_.get(), from, from_strides, 0, luma.rows, to, to_strides) == small.rows;
}

// Each pixel is the mean of those it covers. Where it covers parts of some, libswscale takes an
// eighth of OpenCV's time; the two differ by a grey level at most.
cv::Mat1b WaterWatch::small_picture(const cv::Mat1b& luma) {
    cv::Mat1b small(unseen_.size());
    const cv::Size times(luma.cols / small.cols, luma.rows / small.rows);
    constexpr int kMostRows = 257;  // of bytes that sixteen bits can add up
    const bool whole = times.width * small.cols == luma.cols &&
                       times.height * small.rows == luma.rows && times.height <= kMostRows;
    if (whole && !times.empty()) {
        mean_of_blocks(luma, times, small);
    } else if (!scaled(luma, small)) {
        cv::resize(luma, small, small.size(), 0.0, 0.0, cv::INTER_AREA);
    }
    return small;
}

void WaterWatch::close_first() {
    sights_.push_back(eyes_.front().sight());
    eyes_.pop_front();
    if (sights_.size() >= kWindow) tell_looks(kAgain);
}

// All but the last `kept`, which are followed again together with those to come.
void WaterWatch::tell_looks(std::size_t kept) {
    auto looks = looks_of(sights_);
    for (std::size_t i = told_; i + kept < looks.size(); ++i) looks_.push_back(std::move(looks[i]));
    const std::size_t gone = sights_.size() - std::min(sights_.size(), 2 * kept);
    sights_.erase(sights_.begin(), sights_.begin() + static_cast<std::ptrdiff_t>(gone));
    told_ = kept;
}

void WaterWatch::take(double time_s, const cv::Mat1b& luma) {
    while (!eyes_.empty() && time_s > eyes_.front().sight().time_s + kFollowedFor_s) close_first();
    const bool due =
        eyes_.empty() || time_s >= eyes_.back().sight().time_s + kLookEvery_s - kSlack_s;
    const auto wants = [&](const WaterEye& eye) {
        const double since_s = time_s - eye.sight().time_s;
        const bool in_turn = since_s < kLookEvery_s - kSlack_s || since_s > kLaterAgain_s;
        return in_turn && eye.wants(time_s);
    };
    if (!due && std::ranges::none_of(eyes_, wants)) return;
    const cv::Mat1b small = small_picture(luma);
    for (WaterEye& eye : eyes_) {
        if (wants(eye)) eye.follow(small, time_s);
    }
    if (!due) return;
    if (time_s > vanishing_s_ + kVanishingHolds_s) vanishing_.reset();
    const auto pace = eyes_.empty() ? std::nullopt : eyes_.back().pace();
    eyes_.emplace_back(small, unseen_, time_s, vanishing_, pace);
    if (!eyes_.back().vanishing()) return;
    vanishing_ = eyes_.back().vanishing();
    vanishing_s_ = time_s;
}

std::vector<WaterLook> WaterWatch::finish() {
    while (!eyes_.empty()) close_first();
    tell_looks(0);
    return std::move(looks_);
}

}  // namespace sondeline
