#include "footage/scene.hpp"

#include <algorithm>
#include <cstdint>
#include <cstdlib>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

constexpr int kColumns = 40;
constexpr int kRows = 30;

}  // namespace

cv::Mat1f coarse_picture(const cv::Mat1b& luma) {
    // Two rows of a cell are enough, and save most of the time.
    const int stride = std::max(1, luma.rows / (2 * kRows));
    const cv::Mat1b thinned(luma.rows / stride, luma.cols, const_cast<std::uint8_t*>(luma.data),
                            luma.step * static_cast<std::size_t>(stride));
    cv::Mat1b small;
    cv::resize(thinned, small, {kColumns, kRows}, 0.0, 0.0, cv::INTER_AREA);
    cv::Mat1f coarse;
    small.convertTo(coarse, CV_32F);
    coarse -= cv::mean(coarse)[0];
    return coarse;
}

float picture_difference(const cv::Mat1f& a, const cv::Mat1f& b) {
    return static_cast<float>(cv::norm(a, b, cv::NORM_L1) / static_cast<double>(a.total()));
}

double comb_ratio(const cv::Mat1b& luma, const cv::Mat1b& other) {
    constexpr int kEveryRow = 4;
    constexpr int kEdge = 30;  // grey levels; more than a wall's texture has from row to row
    if (luma.size() != other.size()) return 0.0;
    double neighbours = 0.0;
    double same_field = 0.0;
    for (int y = 0; y + 2 < luma.rows; y += kEveryRow) {
        const std::uint8_t* first = luma[y];
        const std::uint8_t* next = luma[y + 1];
        const std::uint8_t* third = luma[y + 2];
        const std::uint8_t* other_first = other[y];
        const std::uint8_t* other_next = other[y + 1];
        int of_next = 0;
        int of_third = 0;
        for (int x = 0; x < luma.cols; ++x) {
            const int step = next[x] - first[x];
            const int other_step = other_next[x] - other_first[x];
            const bool still_edge =
                (step > kEdge && other_step > kEdge) || (step < -kEdge && other_step < -kEdge);
            of_next += still_edge ? 0 : std::abs(step);
            of_third += still_edge ? 0 : std::abs(third[x] - first[x]);
        }
        neighbours += of_next;
        same_field += of_third;
    }
    return same_field > 0.0 ? neighbours / same_field : 0.0;
}

MotionMeter::MotionMeter(std::span<const PixelBox> hidden, cv::Size size)
    : weight_(kRows, kColumns, 1.0F) {
    const double across = static_cast<double>(kColumns) / std::max(1, size.width);
    const double down = static_cast<double>(kRows) / std::max(1, size.height);
    for (const PixelBox& box : hidden) {
        const cv::Point from(static_cast<int>(box.x * across), static_cast<int>(box.y * down));
        const cv::Point to(static_cast<int>((box.x + box.width) * across) + 1,
                           static_cast<int>((box.y + box.height) * down) + 1);
        weight_(cv::Rect(from, to) & cv::Rect(0, 0, kColumns, kRows)) = 0.0F;
    }
    if (cv::countNonZero(weight_) == 0) weight_ = 1.0F;
}

float MotionMeter::motion_to(const cv::Mat1b& luma) {
    const cv::Mat1f coarse = coarse_picture(luma);
    float motion = -1.0F;
    if (!last_.empty()) {
        const cv::Mat1f change = cv::abs(coarse - last_);
        motion = static_cast<float>(change.dot(weight_) / cv::sum(weight_)[0]);
    }
    last_ = coarse;
    return motion;
}

}  // namespace sondeline
