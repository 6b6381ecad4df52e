#include "deliverables/page/plan_view.hpp"

#include <algorithm>

#include "deliverables/page/html_text.hpp"

namespace sondeline {

namespace {

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

PlanView plan_view(const AsBuilt& as_built) {
    PlanView view;
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
    const double wide_m = std::max(view.east_m - view.west_m, 2.0);
    const double high_m = std::max(view.north_m - view.south_m, 2.0);
    view.px_per_m = std::min((PlanView::width_px - 2.0 * PlanView::margin_px) / wide_m,
                             (PlanView::tallest_px - 2.0 * PlanView::margin_px) / high_m);
    view.height_px = high_m * view.px_per_m + 2.0 * PlanView::margin_px;
    return view;
}

}  // namespace sondeline
