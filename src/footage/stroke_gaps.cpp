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

// With a kernel for gaps of this width on all sides; that of two fields is half as high.
void apply(cv::MorphTypes change, cv::Mat1b& rows, int widest_px, bool in_field) {
    const int highest_px = in_field ? std::max(1, widest_px / 2) : widest_px;
    cv::morphologyEx(rows, rows, change, kernel_for({widest_px, highest_px}));
}

// `change` of the whole picture, or of either field, which may show different digits.
template <class Change>
void field_by_field(cv::Mat1b& luma, bool interlaced, const Change& change) {
    if (!interlaced) {
        change(luma);
        return;
    }
    for (int first = 0; first < 2; ++first) {
        const cv::Mat1b rows((luma.rows - first + 1) / 2, luma.cols, luma[first], luma.step * 2);
        cv::Mat1b changed = rows.clone();
        change(changed);
        for (int y = 0; y < changed.rows; ++y) changed.row(y).copyTo(luma.row(2 * y + first));
    }
}

void fill_outlines(cv::Mat1b& luma, int widest_px, bool interlaced) {
    field_by_field(luma, interlaced,
                   [&](cv::Mat1b& rows) { apply(cv::MORPH_OPEN, rows, widest_px, interlaced); });
}

// How much darker an outline is than what lies on either side of it, be that type or scene, and
// what it surrounds filled with the same.
void keep_outlines_alone(cv::Mat1b& luma, int text_height_px, bool interlaced) {
    constexpr double kOutline = 0.1;  // of the height, at most
    const int outline_px = std::max(2, cvRound(kOutline * text_height_px));
    field_by_field(luma, interlaced, [&](cv::Mat1b& rows) {
        apply(cv::MORPH_BLACKHAT, rows, outline_px, interlaced);
        apply(cv::MORPH_CLOSE, rows, widest_gap_px(text_height_px), interlaced);
    });
}

}  // namespace

LineCrop with_gaps_closed(const LineCrop& crop, const LocatedLine& line) {
    if (line.gaps == StrokeGaps::none) return crop;
    const int widest_px = widest_gap_px(line.text.height);
    LineCrop closed{crop.time_s, crop.luma.clone(), crop.picture_motion};
    if (line.gaps == StrokeGaps::of_dark) {
        fill_outlines(closed.luma, widest_px, line.interlaced);
    } else if (line.gaps == StrokeGaps::of_outlines_alone) {
        keep_outlines_alone(closed.luma, line.text.height, line.interlaced);
    } else {
        // Scan lines lie in the rows of either field, whichever is next.
        cv::morphologyEx(closed.luma, closed.luma, cv::MORPH_CLOSE, kernel_for({0, widest_px}));
    }
    return closed;
}

}  // namespace sondeline
