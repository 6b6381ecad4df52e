#include <cmath>

#include <fmt/format.h>

#include "sondeline/deliverables.hpp"

#include "deliverables/csv_text.hpp"

namespace sondeline {

namespace {

std::string comment(const Track& track, const GradeLog& grade) {
    return fmt::format(
        "# {}: an inclination figure in the box x {}, y {}, {} by {} pixels; unit {}\n"
        "# It is the camera's own level at that moment, not the slope of the pipe.\n",
        csv_field(track.clip.name), grade.box.x, grade.box.y, grade.box.width, grade.box.height,
        word(grade.unit));
}

std::string rows(const Track& track, const GradeLog& grade) {
    std::string text;
    const int decimals = static_cast<int>(std::lround(-std::log10(grade.tick)));
    const int counter_decimals = track.format ? track.format->decimals : 1;
    for (const GradePoint& point : grade.points) {
        const auto percent = grade.percent(point);
        text += fmt::format("{},{:.3f},{:.{}f},{:.{}f},{}\n", csv_field(track.clip.name),
                            point.time_s, point.counter, counter_decimals, point.inclination,
                            decimals, percent ? fmt::format("{:.2f}", *percent) : "");
    }
    return text;
}

}  // namespace

std::string grade_csv(std::span<const Track> tracks) {
    std::string comments;
    std::string text;
    for (const Track& track : tracks) {
        if (!track.grade) continue;
        comments += comment(track, *track.grade);
        text += rows(track, *track.grade);
    }
    if (comments.empty()) return {};
    return comments + "clip,time_s,counter,inclination,percent\n" + text;
}

}  // namespace sondeline
