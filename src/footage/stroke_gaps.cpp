#include "footage/stroke_gaps.hpp"

#include <algorithm>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

// Wide enough for what lies between the scan lines or within the outline of type of this height,
// and narrower than the holes of its digits.
int widest_gap_px(int text_height_px) {
    constexpr double kOfHeight = 0.12;
    return std::max(2, cvRound(kOfHeight * text_height_px) - 1);
}

cv::Mat kernel_for(cv::Size widest_gap) {
    return cv::getStructuringElement(cv::MORPH_RECT, {widest_gap.width + 1, widest_gap.height + 1});
}

// An outline leaves gaps on all sides, and those of the two fields of a picture may differ.
void fill_outlines(cv::Mat1b& luma, int widest_px, bool interlaced) {
    if (!interlaced) {
        cv::morphologyEx(luma, luma, cv::MORPH_OPEN, kernel_for({widest_px, widest_px}));
        return;
    }
    const cv::Mat kernel = kernel_for({widest_px, std::max(1, widest_px / 2)});
    for (int first = 0; first < 2; ++first) {
        const cv::Mat1b rows((luma.rows - first + 1) / 2, luma.cols, luma[first], luma.step * 2);
        cv::Mat1b filled;
        cv::morphologyEx(rows, filled, cv::MORPH_OPEN, kernel);
        for (int y = 0; y < filled.rows; ++y) filled.row(y).copyTo(luma.row(2 * y + first));
    }
}

}  // namespace

LineCrop with_gaps_closed(const LineCrop& crop, const LocatedLine& line) {
    if (line.gaps == StrokeGaps::none) return crop;
    const int widest_px = widest_gap_px(line.text.height);
    LineCrop closed{crop.time_s, crop.luma.clone(), crop.picture_motion};
    if (line.gaps == StrokeGaps::of_dark) {
        fill_outlines(closed.luma, widest_px, line.interlaced);
    } else {
        // Scan lines lie in the rows of either field, whichever is next.
        cv::morphologyEx(closed.luma, closed.luma, cv::MORPH_CLOSE, kernel_for({0, widest_px}));
    }
    return closed;
}

}  // namespace sondeline
