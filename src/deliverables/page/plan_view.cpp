#include "deliverables/page/plan_view.hpp"

#include <algorithm>

#include "deliverables/page/html_text.hpp"

namespace sondeline {

namespace {

constexpr double tallest_px = 720.0;
constexpr double narrow_px = 380.0;
constexpr double narrow_margin_px = 30.0;
constexpr double narrow_tallest_px = 600.0;
constexpr double least_m = 2.0;

double wide_m(const PlanView& view) {
    return std::max(view.east_m - view.west_m, least_m);
}

double high_m(const PlanView& view) {
    return std::max(view.north_m - view.south_m, least_m);
}

void include(PlanView& view, PlanPoint point) {
    if (view.empty) {
        view.west_m = view.east_m = point.e_m;
        view.south_m = view.north_m = point.n_m;
        view.empty = false;
    }
    view.west_m = std::min(view.west_m, point.e_m);
    view.east_m = std::max(view.east_m, point.e_m);
    view.south_m = std::min(view.south_m, point.n_m);
    view.north_m = std::max(view.north_m, point.n_m);
}

}  // namespace

std::string PlanView::at(PlanPoint point) const {
    return px(x(point)) + "," + px(y(point));
}

namespace {

// `view` says how wide it is and what margin it has.
PlanView view_of_all(const AsBuilt& as_built, PlanView view, double most_high_px) {
    for (const AlignedRun& run : as_built.lines.runs) {
        for (const LinePoint& point : run.points) include(view, point.at);
    }
    for (const AlignedStructure& structure : as_built.lines.structures) {
        if (structure.plan) include(view, structure.plan->at);
    }
    for (const SiteFix& fix : as_built.site.fixes) {
        if (fix.position) include(view, fix.position->at);
    }
    if (view.empty) return view;
    view.px_per_m = std::min((view.width_px - 2.0 * view.margin_px) / wide_m(view),
                             (most_high_px - 2.0 * view.margin_px) / high_m(view));
    view.height_px = high_m(view) * view.px_per_m + 2.0 * view.margin_px;
    return view;
}

}  // namespace

PlanView plan_view(const AsBuilt& as_built) {
    return view_of_all(as_built, {}, tallest_px);
}

PlanView narrow_plan_view(const AsBuilt& as_built) {
    PlanView view;
    view.width_px = narrow_px;
    view.margin_px = narrow_margin_px;
    return view_of_all(as_built, view, narrow_tallest_px);
}

PlanView plan_view_on(const PlanView& view, const SheetSize& sheet, double px_per_m) {
    PlanView on_sheet = view;
    on_sheet.width_px = sheet.width_px;
    on_sheet.height_px = sheet.height_px;
    on_sheet.px_per_m = px_per_m;
    return on_sheet;
}

bool fits(const PlanView& view, const SheetSize& sheet, double px_per_m) {
    return wide_m(view) * px_per_m <= sheet.width_px - 2.0 * view.margin_px &&
           high_m(view) * px_per_m <= sheet.height_px - 2.0 * view.margin_px;
}

}  // namespace sondeline
