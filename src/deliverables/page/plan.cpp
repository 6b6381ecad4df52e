#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
#include "deliverables/page/plan_labels.hpp"
#include "deliverables/page/plan_view.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

double round_step(double span, double wanted) {
    const double rough = std::max(span, 1e-9) / wanted;
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    for (const double step : {1.0, 2.0, 5.0}) {
        if (step * power >= rough) return step * power;
    }
    return 10.0 * power;
}

namespace {

std::string path_of(const PlanView& view, const std::vector<LinePoint>& points) {
    std::string path;
    for (const LinePoint& point : points) path += (path.empty() ? "M" : " L") + view.at(point.at);
    return path;
}

// A stretch, from its very ends.
std::string path_between(const PlanView& view, const AlignedRun& run, double from_m, double to_m) {
    std::vector<LinePoint> points;
    if (const auto first = point_at(run, from_m)) points.push_back(*first);
    for (const LinePoint& point : run.points) {
        if (point.station_m > from_m && point.station_m < to_m) points.push_back(point);
    }
    if (const auto last = point_at(run, to_m)) points.push_back(*last);
    return path_of(view, points);
}

// Across the line 1.96 standard deviations to either side hold 95 % of a normal distribution.
std::string error_band(const PlanView& view, const AlignedRun& run) {
    if (run.placement == Placement::inferred) return "";
    std::string there;
    std::string back;
    for (const LinePoint& point : run.points) {
        const double right_e = std::cos(point.heading_rad);
        const double right_n = -std::sin(point.heading_rad);
        const double variance = right_e * right_e * point.cov.ee +
                                2.0 * right_e * right_n * point.cov.en +
                                right_n * right_n * point.cov.nn;
        const double half_m = normal_95 * std::sqrt(std::max(0.0, variance));
        const PlanPoint right{point.at.e_m + half_m * right_e, point.at.n_m + half_m * right_n};
        const PlanPoint left{point.at.e_m - half_m * right_e, point.at.n_m - half_m * right_n};
        there += view.at(right) + " ";
        back = view.at(left) + " " + back;
    }
    return fmt::format("<polygon class=\"band\" points=\"{}{}\"/>", there, back);
}

std::string runs_svg(const AsBuilt& as_built, const PlanView& view) {
    std::string bands;
    std::string water;
    std::string lines;
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& run = as_built.lines.runs[i];
        if (run.points.size() < 2) continue;
        const char* look = run.placement == Placement::placed ? "pipe" : "pipe unsure";
        bands += error_band(view, run);
        for (const Belly& belly : as_built.profiles.runs[i].bellies) {
            water += fmt::format("<path class=\"belly\" d=\"{}\"><title>{}</title></path>",
                                 path_between(view, run, belly.from_m, belly.to_m),
                                 escaped(belly.words));
        }
        lines += fmt::format("<path class=\"{}\" d=\"{}\"/>", look, path_of(view, run.points));
    }
    return bands + water + lines;
}

std::string fixes_svg(const AsBuilt& as_built, const PlanView& view) {
    std::string marks;
    for (std::size_t i = 0; i < as_built.site.fixes.size(); ++i) {
        const SiteFix& fix = as_built.site.fixes[i];
        if (!fix.position) continue;
        const double x = view.x(fix.position->at);
        const double y = view.y(fix.position->at);
        const bool used = as_built.lines.fixes[i].use == FixUse::used;
        marks +=
            fmt::format("<path class=\"{}\" d=\"M{} {} h8 m-4 -4 v8\"><title>{}: {}</title></path>",
                        used ? "fix" : "fix set-aside", px(x - 4), px(y), escaped(fix.id),
                        word(as_built.lines.fixes[i].use));
        if (!used) {
            marks += fmt::format("<circle class=\"set-aside\" cx=\"{}\" cy=\"{}\" r=\"8\"/>", px(x),
                                 px(y));
        }
    }
    return marks;
}

std::string structures_svg(const AsBuilt& as_built, const PlanView& view) {
    std::string marks;
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (!structure.plan) continue;
        const double x = view.x(structure.plan->at);
        const double y = view.y(structure.plan->at);
        if (structure.kind == StructureKind::reference) {
            marks += fmt::format("<path class=\"reference\" d=\"M{} {} l5 9 h-10 z\"/>", px(x),
                                 px(y - 6));
        } else {
            marks += fmt::format(
                "<rect class=\"structure\" x=\"{}\" y=\"{}\" width=\"11\" height=\"11\"/>",
                px(x - 5.5), px(y - 5.5));
        }
    }
    return marks;
}

// A numbered disc beside the pipe, at the note's place; the numbers are those of the list of notes.
std::string notes_svg(const AsBuilt& as_built, const PlanView& view, LabelSpace& space) {
    std::string marks;
    for (std::size_t i = 0; i < as_built.site.notes.size(); ++i) {
        const SiteNote& placed = as_built.site.notes[i];
        if (placed.run < 0) continue;
        const AlignedRun& run = as_built.lines.runs[static_cast<std::size_t>(placed.run)];
        const auto point = point_at(run, station_of_x(run, placed.x_m));
        if (!point) continue;
        const double x = view.x(point->at);
        const double y = view.y(point->at);
        std::vector<LabelBox> boxes;
        for (const double away : {15.0, 24.0, 36.0}) {
            for (int turn = 0; turn < 8; ++turn) {
                const double at_x = x + away * std::cos(point->heading_rad + turn * 0.785398);
                const double at_y = y + away * std::sin(point->heading_rad + turn * 0.785398);
                boxes.push_back({at_x - 9.0, at_y - 9.0, at_x + 9.0, at_y + 9.0});
            }
        }
        const LabelBox& box = boxes[space.place(boxes)];
        const double disc_x = box.left_px + 9.0;
        const double disc_y = box.top_px + 9.0;
        marks += fmt::format(
            "<g><title>{0}</title><path class=\"leader\" d=\"M{1} {2} L{3} {4}\"/>"
            "<circle class=\"note\" cx=\"{3}\" cy=\"{4}\" r=\"8\"/>"
            "<text class=\"note-number\" x=\"{3}\" y=\"{5}\" text-anchor=\"middle\">{6}</text></g>",
            escaped(as_built.job.notes[static_cast<std::size_t>(placed.note)].what), px(x), px(y),
            px(disc_x), px(disc_y), px(disc_y + 4.0), i + 1);
    }
    return marks;
}

std::string scale_and_north(LengthUnit unit, const PlanView& view) {
    const double per = metres_per(unit);
    const double step = round_step(110.0 / view.px_per_m / per, 1.0);
    const double half_px = step * per * view.px_per_m / 2.0;
    const double y = view.height_px - 26.0;
    return fmt::format(
        "<g class=\"scale\"><path class=\"ink\" d=\"M20 {0} h{1} v8 h-{1} z\"/>"
        "<path class=\"arrow\" d=\"M20 {0} h{2} v8 h-{2} z\"/>"
        "<text class=\"small\" x=\"20\" y=\"{3}\">0</text>"
        "<text class=\"small\" x=\"{4}\" y=\"{3}\" text-anchor=\"middle\">{5:g} {6}</text>"
        "<path class=\"ink\" d=\"M{7} 50 v-30\"/><path class=\"arrow\" d=\"M{7} 12 l-6 16 l6 -4 l6 "
        "4 z\"/><text class=\"small\" x=\"{7}\" y=\"64\" text-anchor=\"middle\">grid north</text>"
        "</g>",
        px(y), px(2.0 * half_px), px(half_px), px(y - 6.0), px(20.0 + 2.0 * half_px), step,
        unit_symbol(unit), px(view.width_px - 42.0));
}

}  // namespace

std::string plan_svg(const PageData& page, const PlanView& view, std::string_view look) {
    const AsBuilt& as_built = page.as_built();
    if (view.empty) return "";
    LabelSpace space = plan_space(as_built, view);
    const std::string labels = run_labels(page, view, space) + mark_labels(page, view, space);
    const std::string notes = notes_svg(as_built, view, space);
    return fmt::format(
        "<svg class=\"plan{}\" data-k=\"{:.5f}\" viewBox=\"0 0 {} {}\" role=\"img\" "
        "aria-label=\"Plan of the site\">"
        "{}{}{}{}{}{}<g class=\"marker\" data-on=\"plan\" hidden><circle r=\"9\"/>"
        "<circle class=\"core\" r=\"3\"/></g></svg>",
        look, view.px_per_m / plan_view(as_built).px_per_m, px(view.width_px), px(view.height_px),
        runs_svg(as_built, view), fixes_svg(as_built, view), structures_svg(as_built, view), notes,
        labels, scale_and_north(page.unit(), view));
}

}  // namespace sondeline
