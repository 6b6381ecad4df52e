// A frame with a scale along and a scale up, for profiles and charts.
#pragma once

#include <string>

namespace sondeline {

struct ChartFrame {
    static constexpr double width_px = 760.0;
    static constexpr double left_px = 58.0;
    static constexpr double right_px = 16.0;
    static constexpr double top_px = 22.0;
    static constexpr double bottom_px = 44.0;

    double height_px = 280.0;
    double along_end = 1.0;  // the scale along begins at 0
    double low = 0.0;
    double high = 1.0;

    double px_per_along() const { return (width_px - left_px - right_px) / along_end; }
    double px_per_up() const { return (height_px - top_px - bottom_px) / (high - low); }
    double x(double along) const { return left_px + along * px_per_along(); }
    double y(double up) const { return top_px + (high - up) * px_per_up(); }
    std::string at(double along, double up) const;  // "x,y"
};

// Ticks of both scales; one step is a round number of `per_along` and `per_up`.
std::string chart_scales(const ChartFrame& frame, double per_along, double per_up);

// The words under and above the frame.
std::string chart_captions(const ChartFrame& frame, const std::string& along,
                           const std::string& up);

}  // namespace sondeline
