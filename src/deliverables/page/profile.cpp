#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

constexpr double width_px = 940.0;
constexpr double height_px = 300.0;
constexpr double left_px = 64.0;
constexpr double right_px = 20.0;
constexpr double top_px = 18.0;
constexpr double bottom_px = 40.0;

// From station and height to pixels.
struct Frame {
    double end_m = 1.0;
    double low_m = 0.0;
    double high_m = 1.0;

    double px_per_m_along() const { return (width_px - left_px - right_px) / end_m; }
    double px_per_m_up() const { return (height_px - top_px - bottom_px) / (high_m - low_m); }
    double x(double station_m) const { return left_px + station_m * px_per_m_along(); }
    double y(double z_m) const { return top_px + (high_m - z_m) * px_per_m_up(); }
    std::string at(double station_m, double z_m) const {
        return px(x(station_m)) + "," + px(y(z_m));
    }
};

// The ground as drawn: its elevation, or 0 where heights count down from the ground.
std::optional<double> ground_z(const GradedRun& graded, const ProfilePoint& point) {
    if (graded.z_reference == ZReference::below_ground) return 0.0;
    if (!point.ground_m) return std::nullopt;
    return point.ground_m->value;
}

Frame frame_of(const GradedRun& graded, double length_m) {
    Frame frame;
    frame.end_m = std::max({length_m, graded.profile.back().station_m, 0.5});
    frame.low_m = graded.profile.front().z_m.lo95;
    frame.high_m = graded.profile.front().z_m.hi95;
    for (const ProfilePoint& point : graded.profile) {
        frame.low_m = std::min(frame.low_m, point.z_m.lo95);
        frame.high_m = std::max(frame.high_m, point.z_m.hi95);
        if (const auto ground = ground_z(graded, point)) {
            frame.high_m = std::max(frame.high_m, *ground);
        }
    }
    const double room_m = std::max(0.1, 0.06 * (frame.high_m - frame.low_m));
    frame.low_m -= room_m;
    frame.high_m += room_m;
    return frame;
}

std::string axes(const Frame& frame, LengthUnit unit) {
    const double per = metres_per(unit);
    std::string text;
    const double up = round_step((frame.high_m - frame.low_m) / per, 5.0);
    for (double z = std::ceil(frame.low_m / per / up) * up; z * per < frame.high_m; z += up) {
        text += fmt::format(
            "<path class=\"grid\" d=\"M{0} {1} H{2}\"/><text class=\"small\" "
            "x=\"{3}\" y=\"{4}\" text-anchor=\"end\">{5:g}</text>",
            px(left_px), px(frame.y(z * per)), px(width_px - right_px), px(left_px - 6),
            px(frame.y(z * per) + 4), std::round(z * 1000.0) / 1000.0 + 0.0);
    }
    const double along = round_step(frame.end_m / per, 8.0);
    for (double s = 0.0; s * per <= frame.end_m + 1e-9; s += along) {
        text += fmt::format(
            "<path class=\"grid\" d=\"M{0} {1} v5\"/><text class=\"small\" "
            "x=\"{0}\" y=\"{2}\" text-anchor=\"middle\">{3:g}</text>",
            px(frame.x(s * per)), px(height_px - bottom_px), px(height_px - bottom_px + 18), s);
    }
    return text;
}

std::string invert_band(const Frame& frame, const GradedRun& graded) {
    std::string upper;
    std::string lower;
    std::string line;
    for (const ProfilePoint& point : graded.profile) {
        upper += frame.at(point.station_m, point.z_m.hi95) + " ";
        lower = frame.at(point.station_m, point.z_m.lo95) + " " + lower;
        line += (line.empty() ? "M" : " L") + frame.at(point.station_m, point.z_m.value);
    }
    return fmt::format("<polygon class=\"band\" points=\"{}{}\"/><path class=\"pipe\" d=\"{}\"/>",
                       upper, lower, line);
}

std::string ground_line(const Frame& frame, const GradedRun& graded) {
    std::string line;
    for (const ProfilePoint& point : graded.profile) {
        const auto ground = ground_z(graded, point);
        if (ground) line += (line.empty() ? "M" : " L") + frame.at(point.station_m, *ground);
    }
    return fmt::format("<path class=\"ground\" d=\"{}\"/>", line);
}

// Water up to the lower of the two rims; where the profile shows no hollow, a strip along the
// invert says where it was seen.
std::string water(const Frame& frame, const GradedRun& graded, const Belly& belly) {
    const auto start = invert_at(graded, belly.from_m);
    const auto end = invert_at(graded, belly.to_m);
    if (!start || !end) return "";
    const double level_m = std::min(start->value, end->value);
    std::string above;
    std::string below;
    for (const ProfilePoint& point : graded.profile) {
        if (point.station_m < belly.from_m || point.station_m > belly.to_m) continue;
        const double strip_m = 4.0 / frame.px_per_m_up();
        above += frame.at(point.station_m, std::max(level_m, point.z_m.value + strip_m)) + " ";
        below = frame.at(point.station_m, point.z_m.value) + " " + below;
    }
    return fmt::format("<polygon class=\"water\" points=\"{}{}\"><title>{}</title></polygon>",
                       above, below, escaped(belly.words));
}

std::string observed(const AsBuilt& as_built, const Frame& frame, const GradedRun& graded) {
    std::string marks;
    const auto mark = [&](int fix, double residual_m, const char* look) {
        const double station_m = as_built.lines.fixes[static_cast<std::size_t>(fix)].station_m;
        const auto invert = invert_at(graded, station_m);
        if (!invert) return;
        // A depth that is too great puts the invert too low.
        const double z_m = std::clamp(invert->value - residual_m, frame.low_m, frame.high_m);
        marks += fmt::format(
            "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"3.5\"><title>{}</title>"
            "</circle>",
            look, px(frame.x(station_m)), px(frame.y(z_m)),
            escaped(as_built.site.fixes[static_cast<std::size_t>(fix)].id));
    };
    for (const auto& [fix, residual_m] : graded.depth_residuals_m) {
        const bool rejected = std::ranges::find(graded.rejected_depth_fixes, fix) !=
                              graded.rejected_depth_fixes.end();
        mark(fix, residual_m, rejected ? "depth set-aside" : "depth");
    }
    return marks;
}

std::string z_words(ZReference reference, LengthUnit unit) {
    const std::string_view symbol = unit_symbol(unit);
    switch (reference) {
        case ZReference::elevation: return fmt::format("elevation, {}", symbol);
        case ZReference::benchmark: return fmt::format("height by the benchmark, {}", symbol);
        case ZReference::below_ground: return fmt::format("below ground, {}", symbol);
        case ZReference::assumed_level_ground:
            return fmt::format("height if the ground is level, {}", symbol);
        case ZReference::none: break;
    }
    return std::string(symbol);
}

}  // namespace

std::string profile_svg(const AsBuilt& as_built, std::size_t run) {
    const GradedRun& graded = as_built.profiles.runs[run];
    if (graded.profile.size() < 2) return "";
    const AlignedRun& aligned = as_built.lines.runs[run];
    const Frame frame = frame_of(graded, aligned.length_m ? aligned.length_m->value : 0.0);
    std::string waters;
    for (const Belly& belly : graded.bellies) waters += water(frame, graded, belly);
    const LengthUnit unit = as_built.site.job_unit;
    const std::string caption =
        fmt::format("{}; along: distance from the start, {}; heights drawn {:.0f} times too large",
                    z_words(graded.z_reference, unit), unit_symbol(unit),
                    frame.px_per_m_up() / frame.px_per_m_along());
    return fmt::format(
        "<svg class=\"profile\" viewBox=\"0 0 {} {}\" role=\"img\" "
        "aria-label=\"Profile of run {}\">{}{}{}{}{}<text class=\"small\" x=\"{}\" "
        "y=\"{}\">{}</text></svg>",
        px(width_px), px(height_px), escaped(graded.id.text), axes(frame, unit),
        ground_line(frame, graded), invert_band(frame, graded), waters,
        observed(as_built, frame, graded), px(left_px), px(height_px - 4.0), escaped(caption));
}

}  // namespace sondeline
