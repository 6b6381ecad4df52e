#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "deliverables/page/chart_frame.hpp"
#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/page/profile_labels.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

// The ground as drawn: its elevation, or 0 where heights count down from the ground.
std::optional<double> ground_z(const GradedRun& graded, const ProfilePoint& point) {
    if (graded.z_reference == ZReference::below_ground) return 0.0;
    if (!point.ground_m) return std::nullopt;
    return point.ground_m->value;
}

ChartFrame frame_of(const GradedRun& graded, double length_m) {
    ChartFrame frame;
    frame.along_end = std::max({length_m, graded.profile.back().station_m, 0.5});
    frame.low = graded.profile.front().z_m.lo95;
    frame.high = graded.profile.front().z_m.hi95;
    for (const ProfilePoint& point : graded.profile) {
        frame.low = std::min(frame.low, point.z_m.lo95);
        frame.high = std::max(frame.high, point.z_m.hi95);
        if (const auto ground = ground_z(graded, point)) {
            frame.high = std::max(frame.high, *ground);
        }
    }
    const double room_m = std::max(0.05, 0.06 * (frame.high - frame.low));
    frame.high += room_m;
    frame.low -= 1.5 * room_m;
    // Room above the ground for the smallest sag, drawn to scale.
    if (const DetectionLimit* limit = least_sag(graded)) frame.high += *limit->sag_m + room_m;
    return frame;
}

std::string invert_band(const ChartFrame& frame, const GradedRun& graded) {
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

std::string ground_line(const ChartFrame& frame, const GradedRun& graded) {
    std::string line;
    for (const ProfilePoint& point : graded.profile) {
        const auto ground = ground_z(graded, point);
        if (ground) line += (line.empty() ? "M" : " L") + frame.at(point.station_m, *ground);
    }
    return line.empty() ? "" : fmt::format("<path class=\"ground\" d=\"{}\"/>", line);
}

// Water up to the lower of the two rims; where the profile shows no hollow, a strip along the
// invert says where it was seen.
std::string water(const ChartFrame& frame, const GradedRun& graded, const Belly& belly,
                  LabelSpace& space) {
    const auto start = invert_at(graded, belly.from_m);
    const auto end = invert_at(graded, belly.to_m);
    if (!start || !end) return "";
    const double level_m = std::min(start->value, end->value);
    const double strip_m = 5.0 / frame.px_per_up();
    std::string above;
    std::string below;
    const auto add = [&](double station_m, double z_m) {
        above += frame.at(station_m, std::max(level_m, z_m + strip_m)) + " ";
        below = frame.at(station_m, z_m) + " " + below;
    };
    add(belly.from_m, start->value);
    for (const ProfilePoint& point : graded.profile) {
        if (point.station_m > belly.from_m && point.station_m < belly.to_m) {
            add(point.station_m, point.z_m.value);
        }
    }
    add(belly.to_m, end->value);
    constexpr const char* kName = "standing water";
    const TextSpot name = place_water_name(
        frame,
        {frame.x((belly.from_m + belly.to_m) / 2.0), frame.y(std::min(start->value, end->value))},
        kName, space);
    return fmt::format(
        "<polygon class=\"water\" points=\"{}{}\"><title>{}</title></polygon>"
        "<text class=\"water-name\" x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
        above, below, escaped(belly.words), px(name.x_px), px(name.baseline_px), kName);
}

struct DepthMark {
    double x_px = 0.0;
    double y_px = 0.0;
    bool set_aside = false;
    std::string fix;
};

std::vector<DepthMark> observed(const AsBuilt& as_built, const ChartFrame& frame,
                                const GradedRun& graded) {
    std::vector<DepthMark> marks;
    for (const auto& [fix, residual_m] : graded.depth_residuals_m) {
        const double station_m = as_built.lines.fixes[static_cast<std::size_t>(fix)].station_m;
        const auto invert = invert_at(graded, station_m);
        if (!invert) continue;
        const bool rejected = std::ranges::find(graded.rejected_depth_fixes, fix) !=
                              graded.rejected_depth_fixes.end();
        // A depth that is too great puts the invert too low.
        const double z_m = std::clamp(invert->value - residual_m, frame.low, frame.high);
        marks.push_back({frame.x(station_m), frame.y(z_m), rejected,
                         as_built.site.fixes[static_cast<std::size_t>(fix)].id});
    }
    return marks;
}

std::string drawn(const std::vector<DepthMark>& marks) {
    std::string circles;
    for (const DepthMark& mark : marks) {
        circles += fmt::format(
            "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"4\"><title>{}</title>"
            "</circle>",
            mark.set_aside ? "depth set-aside" : "depth", px(mark.x_px), px(mark.y_px),
            escaped(mark.fix));
    }
    return circles;
}

// The smallest sag these depths could have shown, at the scale of this drawing, above the ground.
std::string limit_dip(const ChartFrame& frame, const GradedRun& graded) {
    const DetectionLimit* limit = least_sag(graded);
    if (limit == nullptr || limit->width_m > frame.along_end) return "";
    const double width_px = limit->width_m * frame.px_per_along();
    const double deep_px = *limit->sag_m * frame.px_per_up();
    const double right = ChartFrame::width_px - ChartFrame::right_px - 12.0;
    const double y = ChartFrame::top_px + 6.0;
    // Under the dip: left of it there is no room where letters are drawn large on a small page.
    return fmt::format(
        "<g class=\"limit\"><path d=\"M{0} {1} q{2} {3} {4} 0\"/>"
        "<text class=\"small\" x=\"{5}\" y=\"{6}\" text-anchor=\"end\">smallest sag these depths "
        "could show, to scale</text></g>",
        px(right - width_px), px(y), px(width_px / 2.0), px(2.0 * deep_px), px(width_px), px(right),
        px(y + deep_px + largest_letters_px));
}

constexpr double kNoteRadius_px = 8.0;

struct NoteMark {
    double x_px = 0.0;
    double pipe_px = 0.0;
    double y_px = 0.0;
    std::size_t number = 0;
};

std::vector<NoteMark> numbered_notes(const AsBuilt& as_built, const ChartFrame& frame,
                                     std::size_t run) {
    std::vector<NoteMark> marks;
    for (std::size_t i = 0; i < as_built.site.notes.size(); ++i) {
        const SiteNote& placed = as_built.site.notes[i];
        if (placed.run != static_cast<int>(run)) continue;
        const double station_m = station_of_x(as_built.lines.runs[run], placed.x_m);
        const auto invert = invert_at(as_built.profiles.runs[run], station_m);
        if (!invert) continue;
        const double x = std::clamp(frame.x(station_m), ChartFrame::left_px + 9.0,
                                    ChartFrame::width_px - ChartFrame::right_px - 9.0);
        const double pipe_px = frame.y(invert->value);
        marks.push_back({x, pipe_px, pipe_px - 26.0, i + 1});
    }
    return marks;
}

std::string drawn(const std::vector<NoteMark>& notes) {
    std::string marks;
    for (const NoteMark& note : notes) {
        marks += fmt::format(
            "<g><path class=\"leader\" d=\"M{0} {1} V{2}\"/><circle class=\"note\" cx=\"{0}\" "
            "cy=\"{2}\" r=\"{5:.0f}\"/><text class=\"note-number\" x=\"{0}\" y=\"{3}\" "
            "text-anchor=\"middle\">{4}</text></g>",
            px(note.x_px), px(note.pipe_px), px(note.y_px), px(note.y_px + 4.0), note.number,
            kNoteRadius_px);
    }
    return marks;
}

std::string end_names(const AsBuilt& as_built, const ChartFrame& frame, std::size_t run,
                      LabelSpace& space) {
    const SiteRun& site_run = as_built.site.runs[run];
    const std::string from = structure_id(as_built.site, as_built.lines.runs[run].run.from);
    const std::string to = structure_id(as_built.site, site_run.to);
    const std::string unnamed = site_run.end_told ? "blind end" : "end not told";
    const std::string reached = to.empty() ? unnamed : to;
    const std::string end = as_built.lines.runs[run].stops_short ? "push stopped" : reached;
    const TextSpot from_at = place_end_name(frame, ProfileEnd::start, from, space);
    const TextSpot to_at = place_end_name(frame, ProfileEnd::end, end, space);
    return fmt::format(
        "<text class=\"structure-name\" x=\"{}\" y=\"{}\">{}</text>"
        "<text class=\"structure-name\" x=\"{}\" y=\"{}\" text-anchor=\"end\">{}</text>",
        px(from_at.x_px), px(from_at.baseline_px), escaped(from), px(to_at.x_px),
        px(to_at.baseline_px), escaped(end));
}

// What no words may cover.
LabelSpace space_beside(const ChartFrame& frame, const GradedRun& graded,
                        const std::vector<DepthMark>& depths, const std::vector<NoteMark>& notes) {
    LabelSpace space(ChartFrame::width_px, frame.height_px);
    const double floor_px = frame.height_px - ChartFrame::bottom_px;
    space.take_line(ChartFrame::left_px, floor_px, ChartFrame::width_px - ChartFrame::right_px,
                    floor_px, 0.5);
    for (std::size_t i = 0; i + 1 < graded.profile.size(); ++i) {
        const ProfilePoint& a = graded.profile[i];
        const ProfilePoint& b = graded.profile[i + 1];
        space.take_line(frame.x(a.station_m), frame.y(a.z_m.value), frame.x(b.station_m),
                        frame.y(b.z_m.value), 2.5);
        const auto ground_a = ground_z(graded, a);
        const auto ground_b = ground_z(graded, b);
        if (!ground_a || !ground_b) continue;
        space.take_line(frame.x(a.station_m), frame.y(*ground_a), frame.x(b.station_m),
                        frame.y(*ground_b), 1.0);
    }
    const auto take_circle = [&](double x_px, double y_px, double radius_px) {
        space.take({x_px - radius_px, y_px - radius_px, x_px + radius_px, y_px + radius_px});
    };
    for (const DepthMark& depth : depths) take_circle(depth.x_px, depth.y_px, 5.0);
    for (const NoteMark& note : notes) {
        take_circle(note.x_px, note.y_px, kNoteRadius_px + 1.0);
        space.take_line(note.x_px, note.pipe_px, note.x_px, note.y_px, 1.0);
    }
    return space;
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

std::string profile_svg(const PageData& page, std::size_t run) {
    const AsBuilt& as_built = page.as_built();
    const GradedRun& graded = as_built.profiles.runs[run];
    if (graded.profile.size() < 2) return "";
    const AlignedRun& aligned = as_built.lines.runs[run];
    const ChartFrame frame = frame_of(graded, aligned.length_m ? aligned.length_m->value : 0.0);
    const std::vector<DepthMark> depths = observed(as_built, frame, graded);
    const std::vector<NoteMark> notes = numbered_notes(as_built, frame, run);
    LabelSpace space = space_beside(frame, graded, depths, notes);
    const std::string names = end_names(as_built, frame, run, space);
    std::string waters;
    for (const Belly& belly : graded.bellies) waters += water(frame, graded, belly, space);
    const double per = metres_per(page.unit());
    const std::string along =
        fmt::format("distance from the start, {}; heights drawn {:.0f} times too large",
                    unit_symbol(page.unit()), frame.px_per_up() / frame.px_per_along());
    return fmt::format(
        "<svg class=\"profile seek\" data-run=\"{}\" data-x0=\"{}\" data-k=\"{:.5f}\" viewBox=\"0 "
        "0 "
        "{} {}\" role=\"img\" aria-label=\"Profile of run {}\">{}{}{}{}{}{}{}{}{}<g "
        "class=\"marker\" "
        "data-on=\"profile\"><path d=\"M0 {} V{}\"/></g></svg>",
        run, px(ChartFrame::left_px), frame.px_per_along(), px(ChartFrame::width_px),
        px(frame.height_px), escaped(graded.id.text), chart_scales(frame, per, per),
        ground_line(frame, graded), invert_band(frame, graded), waters, drawn(depths),
        limit_dip(frame, graded), names, drawn(notes),
        chart_captions(frame, along, z_words(graded.z_reference, page.unit())),
        px(ChartFrame::top_px), px(frame.height_px - ChartFrame::bottom_px));
}

}  // namespace sondeline
