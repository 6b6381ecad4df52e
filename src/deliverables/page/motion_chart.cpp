#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "deliverables/page/chart_frame.hpp"
#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"

namespace sondeline {

namespace {

ChartFrame frame_of(const RunMotion& motion) {
    ChartFrame frame;
    frame.height_px = 230.0;
    frame.along_end = std::max(motion.end_s, 1.0);
    frame.low = frame.high = motion.points.front().station_m;
    for (const MotionPoint& point : motion.points) {
        frame.low = std::min(frame.low, point.station_m);
        frame.high = std::max(frame.high, point.station_m);
    }
    const double room_m = std::max(0.1, 0.08 * (frame.high - frame.low));
    frame.low -= room_m;
    frame.high += room_m;
    return frame;
}

std::string way(const ChartFrame& frame, const RunMotion& motion) {
    std::string line;
    std::string gaps;
    for (std::size_t i = 0; i < motion.points.size(); ++i) {
        const MotionPoint& point = motion.points[i];
        line += (i == 0 || point.after_gap ? " M" : " L") + frame.at(point.time_s, point.station_m);
        if (!point.after_gap) continue;
        const double from = frame.x(motion.points[i - 1].time_s);
        gaps += fmt::format("<rect class=\"unread\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                            px(from), px(ChartFrame::top_px), px(frame.x(point.time_s) - from),
                            px(frame.height_px - ChartFrame::top_px - ChartFrame::bottom_px));
    }
    return gaps + fmt::format("<path class=\"way\" d=\"{}\"/>", line);
}

std::string stops_and_zeroings(const ChartFrame& frame, const RunMotion& motion) {
    std::string marks;
    for (const MotionClip& clip : motion.clips) {
        if (clip.start_s > 0.0) {
            marks +=
                fmt::format("<path class=\"tick\" d=\"M{} {} V{}\"/>", px(frame.x(clip.start_s)),
                            px(ChartFrame::top_px), px(frame.height_px - ChartFrame::bottom_px));
        }
        if (clip.track == nullptr) continue;
        for (const Hold& hold : clip.track->holds) {
            const auto at = station_at(motion, clip.start_s + (hold.from_s + hold.to_s) / 2.0);
            if (!at) continue;
            marks += fmt::format("<path class=\"stop\" d=\"M{} L{}\"/>",
                                 frame.at(clip.start_s + hold.from_s, *at),
                                 frame.at(clip.start_s + hold.to_s, *at));
        }
        for (const Zeroing& zeroing : clip.track->zeroings) {
            const double x = frame.x(clip.start_s + zeroing.time_s);
            marks += fmt::format(
                "<g class=\"scale\"><path class=\"zeroing\" d=\"M{0} {1} V{2}\"/>"
                "<text class=\"small\" x=\"{3}\" y=\"{4}\">counter set from {5:g} to {6:g}</text>"
                "</g>",
                px(x), px(ChartFrame::top_px), px(frame.height_px - ChartFrame::bottom_px),
                px(x + 4.0), px(ChartFrame::top_px + 11.0), zeroing.counter_before,
                zeroing.counter_after);
        }
    }
    return marks;
}

// The transmitter sits behind the lens, so the head was that much further when it was located.
std::string fixes_on_the_way(const PageData& page, const ChartFrame& frame, std::size_t run,
                             const RunMotion& motion) {
    const AsBuilt& as_built = page.as_built();
    const AlignedRun& aligned = as_built.lines.runs[run];
    std::string marks;
    for (std::size_t i = 0; i < as_built.site.fixes.size(); ++i) {
        const SiteFix& fix = as_built.site.fixes[i];
        if (fix.run != static_cast<int>(run) || fix.placing == FixPlacing::unplaced) continue;
        const double lens_x_m = fix.x_m + as_built.job.settings.sonde_setback_m;
        const double station_m = station_of_x(aligned, lens_x_m);
        const auto time_s = time_at(motion, station_m, 2.0 * aligned.run.tick_m);
        if (!time_s) continue;
        marks +=
            fmt::format("<path class=\"fix\" d=\"M{} {} h10 m-5 -5 v10\"><title>{}</title></path>",
                        px(frame.x(*time_s) - 5.0), px(frame.y(station_m)), escaped(fix.id));
    }
    return marks;
}

}  // namespace

std::string motion_svg(const PageData& page, std::size_t run, const RunMotion& motion) {
    if (motion.points.size() < 2) return "";
    const ChartFrame frame = frame_of(motion);
    const char* from = motion.from_start ? "distance from the start" : "distance since first read";
    return fmt::format(
        "<svg class=\"motion seek\" data-run=\"{}\" data-x0=\"{}\" data-k=\"{:.5f}\" viewBox=\"0 0 "
        "{} {}\" role=\"img\" aria-label=\"Where the head was, run {}\">{}{}{}{}{}"
        "<g class=\"marker\" data-on=\"motion\"><path d=\"M0 {} V{}\"/></g></svg>",
        run, px(ChartFrame::left_px), frame.px_per_along(), px(ChartFrame::width_px),
        px(frame.height_px), escaped(page.as_built().lines.runs[run].run.id.text),
        chart_scales(frame, 1.0, metres_per(page.unit())), way(frame, motion),
        stops_and_zeroings(frame, motion), fixes_on_the_way(page, frame, run, motion),
        chart_captions(frame, "seconds into the footage",
                       fmt::format("{}, {}", from, unit_symbol(page.unit()))),
        px(ChartFrame::top_px), px(frame.height_px - ChartFrame::bottom_px));
}

}  // namespace sondeline
