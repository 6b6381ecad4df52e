#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "deliverables/page/html_text.hpp"
#include "deliverables/page/pictures.hpp"
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

constexpr double width_px = 940.0;
constexpr double margin_px = 70.0;
constexpr double tallest_px = 760.0;

// From metres in the local frame to pixels, north up.
struct View {
    double west_m = std::numeric_limits<double>::max();
    double south_m = std::numeric_limits<double>::max();
    double east_m = std::numeric_limits<double>::lowest();
    double north_m = std::numeric_limits<double>::lowest();
    double px_per_m = 1.0;
    double height_px = 0.0;

    void include(PlanPoint point) {
        west_m = std::min(west_m, point.e_m);
        east_m = std::max(east_m, point.e_m);
        south_m = std::min(south_m, point.n_m);
        north_m = std::max(north_m, point.n_m);
    }
    bool empty() const { return west_m > east_m; }
    void fit() {
        const double wide_m = std::max(east_m - west_m, 2.0);
        const double high_m = std::max(north_m - south_m, 2.0);
        px_per_m =
            std::min((width_px - 2 * margin_px) / wide_m, (tallest_px - 2 * margin_px) / high_m);
        height_px = high_m * px_per_m + 2 * margin_px;
    }
    double x(PlanPoint point) const {
        const double middle_m = (west_m + east_m) / 2.0;
        return width_px / 2.0 + (point.e_m - middle_m) * px_per_m;
    }
    double y(PlanPoint point) const { return margin_px + (north_m - point.n_m) * px_per_m; }
    std::string at(PlanPoint point) const { return px(x(point)) + "," + px(y(point)); }
};

View view_of(const AsBuilt& as_built) {
    View view;
    for (const AlignedRun& run : as_built.lines.runs) {
        for (const LinePoint& point : run.points) view.include(point.at);
    }
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (structure.plan) view.include(structure.plan->at);
    }
    for (const SiteFix& fix : as_built.site.fixes) {
        if (fix.position) view.include(fix.position->at);
    }
    if (!view.empty()) view.fit();
    return view;
}

std::string path_of(const View& view, const std::vector<LinePoint>& points, double from_m,
                    double to_m) {
    std::string path;
    for (const LinePoint& point : points) {
        if (point.station_m < from_m - 1e-9 || point.station_m > to_m + 1e-9) continue;
        path += (path.empty() ? "M" : " L") + view.at(point.at);
    }
    return path;
}

// Two and a half standard deviations to either side would be the 95 % ellipse; across the line
// 1.96 are asked.
std::string error_band(const View& view, const AlignedRun& run) {
    if (run.placement == Placement::inferred) return "";
    std::string there;
    std::string back;
    for (const LinePoint& point : run.points) {
        const double right_e = std::cos(point.heading_rad);
        const double right_n = -std::sin(point.heading_rad);
        const double variance = right_e * right_e * point.cov.ee +
                                2.0 * right_e * right_n * point.cov.en +
                                right_n * right_n * point.cov.nn;
        const double half_m = 1.96 * std::sqrt(std::max(0.0, variance));
        const PlanPoint right{point.at.e_m + half_m * right_e, point.at.n_m + half_m * right_n};
        const PlanPoint left{point.at.e_m - half_m * right_e, point.at.n_m - half_m * right_n};
        there += view.at(right) + " ";
        back = view.at(left) + " " + back;
    }
    return fmt::format("<polygon class=\"band\" points=\"{}{}\"/>", there, back);
}

std::string run_label(const AsBuilt& as_built, const View& view, const AlignedRun& run) {
    const LinePoint& middle = run.points[run.points.size() / 2];
    std::string words = run.run.id.text;
    if (run.length_m) {
        const double per = metres_per(as_built.site.job_unit);
        const double half = (run.length_m->hi95 - run.length_m->lo95) / 2.0 / per;
        words += fmt::format("  {:.{}f} {}", run.length_m->value / per, decimals_for_bounds(half),
                             unit_symbol(as_built.site.job_unit));
    }
    // To the right of a run that goes up the page, above one that goes across.
    const bool upright = std::abs(std::cos(middle.heading_rad)) > 0.7;
    return fmt::format("<text class=\"run-name\" x=\"{}\" y=\"{}\"{}>{}</text>",
                       px(view.x(middle.at) + (upright ? 10.0 : 0.0)),
                       px(view.y(middle.at) - (upright ? 0.0 : 10.0)),
                       upright ? "" : " text-anchor=\"middle\"", escaped(words));
}

std::string runs_svg(const AsBuilt& as_built, const View& view) {
    std::string bands;
    std::string lines;
    std::string labels;
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& run = as_built.lines.runs[i];
        if (run.points.size() < 2) continue;
        const char* look = run.placement == Placement::placed ? "pipe" : "pipe unsure";
        bands += error_band(view, run);
        for (const Belly& belly : as_built.profiles.runs[i].bellies) {
            lines += fmt::format("<path class=\"belly\" d=\"{}\"/>",
                                 path_of(view, run.points, belly.from_m, belly.to_m));
        }
        lines +=
            fmt::format("<path class=\"{}\" d=\"{}\"/>", look, path_of(view, run.points, 0.0, 1e9));
        labels += run_label(as_built, view, run);
    }
    return bands + lines + labels;
}

std::string fixes_svg(const AsBuilt& as_built, const View& view) {
    std::string marks;
    for (std::size_t i = 0; i < as_built.site.fixes.size(); ++i) {
        const SiteFix& fix = as_built.site.fixes[i];
        if (!fix.position) continue;
        const double x = view.x(fix.position->at);
        const double y = view.y(fix.position->at);
        const bool used = as_built.lines.fixes[i].use == FixUse::used;
        marks += fmt::format(
            "<path class=\"{}\" d=\"M{} {} h8 m-4 -4 v8\"><title>{}: {}</title>"
            "</path>",
            used ? "fix" : "fix set-aside", px(x - 4), px(y), escaped(fix.id),
            word(as_built.lines.fixes[i].use));
        if (!used) {
            marks += fmt::format(
                "<circle class=\"set-aside\" cx=\"{}\" cy=\"{}\" r=\"8\"/>"
                "<text class=\"small\" x=\"{}\" y=\"{}\">{} set aside</text>",
                px(x), px(y), px(x + 11), px(y + 4), escaped(fix.id));
        }
    }
    return marks;
}

std::string structures_svg(const AsBuilt& as_built, const View& view) {
    std::string marks;
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (!structure.plan) continue;
        const double x = view.x(structure.plan->at);
        const double y = view.y(structure.plan->at);
        const bool mark = structure.kind == StructureKind::reference;
        if (mark) {
            marks += fmt::format("<path class=\"reference\" d=\"M{} {} l5 9 h-10 z\"/>", px(x),
                                 px(y - 6));
        } else {
            marks += fmt::format(
                "<rect class=\"structure\" x=\"{}\" y=\"{}\" width=\"11\" "
                "height=\"11\"/>",
                px(x - 5.5), px(y - 5.5));
        }
        marks += fmt::format("<text class=\"structure-name\" x=\"{}\" y=\"{}\">{}</text>",
                             px(x + 9), px(y + 16), escaped(structure.id.text));
    }
    return marks;
}

std::string notes_svg(const AsBuilt& as_built, const View& view) {
    std::string marks;
    for (const SiteNote& placed : as_built.site.notes) {
        if (placed.run < 0) continue;
        const AlignedRun& run = as_built.lines.runs[static_cast<std::size_t>(placed.run)];
        const auto point = point_at(run, station_of_x(run, placed.x_m));
        if (!point) continue;
        const Note& note = as_built.job.notes[static_cast<std::size_t>(placed.note)];
        marks += fmt::format(
            "<circle class=\"note\" cx=\"{}\" cy=\"{}\" r=\"4\"><title>{}</title>"
            "</circle>",
            px(view.x(point->at)), px(view.y(point->at)), escaped(note.what));
    }
    return marks;
}

std::string scale_and_north(const AsBuilt& as_built, const View& view) {
    const double per = metres_per(as_built.site.job_unit);
    const double step = round_step(150.0 / view.px_per_m / per, 1.0);
    const double bar_px = step * per * view.px_per_m;
    const double y = view.height_px - 22.0;
    return fmt::format(
        "<path class=\"ink\" d=\"M20 {0} v6 h{1} v-6\"/><text class=\"small\" x=\"{2}\" y=\"{3}\">"
        "{4:g} {5}</text><path class=\"arrow\" d=\"M{6} 52 l-7 0 l7 -30 l7 30 z\"/>"
        "<text class=\"small\" x=\"{6}\" y=\"66\" text-anchor=\"middle\">grid north</text>",
        px(y), px(bar_px), px(26.0 + bar_px), px(y + 6.0), step,
        unit_symbol(as_built.site.job_unit), px(width_px - 40.0));
}

}  // namespace

std::string plan_svg(const AsBuilt& as_built) {
    const View view = view_of(as_built);
    if (view.empty()) return "";
    return fmt::format(
        "<svg class=\"plan\" viewBox=\"0 0 {} {}\" role=\"img\" "
        "aria-label=\"Plan of the site\">{}{}{}{}{}</svg>",
        px(width_px), px(view.height_px), runs_svg(as_built, view), structures_svg(as_built, view),
        fixes_svg(as_built, view), notes_svg(as_built, view), scale_and_north(as_built, view));
}

}  // namespace sondeline
