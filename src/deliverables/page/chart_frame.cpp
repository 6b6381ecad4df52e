#include "deliverables/page/chart_frame.hpp"

#include <cmath>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"

namespace sondeline {

std::string ChartFrame::at(double along, double up) const {
    return px(x(along)) + "," + px(y(up));
}

std::string chart_scales(const ChartFrame& frame, double per_along, double per_up) {
    std::string text;
    const double up = round_step((frame.high - frame.low) / per_up, 5.0);
    for (double z = std::ceil(frame.low / per_up / up) * up; z * per_up < frame.high; z += up) {
        text += fmt::format(
            "<path class=\"grid\" d=\"M{0} {1} H{2}\"/>"
            "<text class=\"small\" x=\"{3}\" y=\"{4}\" text-anchor=\"end\">{5:g}</text>",
            px(ChartFrame::left_px), px(frame.y(z * per_up)),
            px(ChartFrame::width_px - ChartFrame::right_px), px(ChartFrame::left_px - 6.0),
            px(frame.y(z * per_up) + 4.0), std::round(z * 1000.0) / 1000.0 + 0.0);
    }
    const double floor_px = frame.height_px - ChartFrame::bottom_px;
    const double along = round_step(frame.along_end / per_along, 8.0);
    for (double s = 0.0; s * per_along <= frame.along_end * (1.0 + 1e-9); s += along) {
        text += fmt::format(
            "<path class=\"tick\" d=\"M{0} {1} v5\"/>"
            "<text class=\"small\" x=\"{0}\" y=\"{2}\" text-anchor=\"middle\">{3:g}</text>",
            px(frame.x(s * per_along)), px(floor_px), px(floor_px + 17.0), s);
    }
    text += fmt::format("<path class=\"tick\" d=\"M{} {} V{} H{}\"/>", px(ChartFrame::left_px),
                        px(ChartFrame::top_px), px(floor_px),
                        px(ChartFrame::width_px - ChartFrame::right_px));
    return "<g class=\"scale\">" + text + "</g>";
}

std::string chart_captions(const ChartFrame& frame, const std::string& along,
                           const std::string& up) {
    return fmt::format(
        "<g class=\"scale\"><text class=\"small\" x=\"{}\" y=\"{}\">{}</text>"
        "<text class=\"small\" x=\"6\" y=\"13\">{}</text></g>",
        px(ChartFrame::left_px), px(frame.height_px - 8.0), escaped(along), escaped(up));
}

}  // namespace sondeline
