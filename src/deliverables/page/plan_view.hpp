// From metres in the local frame to pixels of the plan, north up.
#pragma once

#include "sondeline/deliverables.hpp"

namespace sondeline {

struct PlanView {
    static constexpr double width_px = 760.0;
    static constexpr double margin_px = 64.0;
    static constexpr double tallest_px = 720.0;

    double west_m = 0.0;
    double south_m = 0.0;
    double east_m = 0.0;
    double north_m = 0.0;
    double px_per_m = 1.0;
    double height_px = 0.0;
    bool empty = true;

    double x(PlanPoint point) const {
        return width_px / 2.0 + (point.e_m - (west_m + east_m) / 2.0) * px_per_m;
    }
    double y(PlanPoint point) const { return margin_px + (north_m - point.n_m) * px_per_m; }
    std::string at(PlanPoint point) const;  // "x,y"
};

// The view that shows everything that has a place; empty when nothing has.
PlanView plan_view(const AsBuilt& as_built);

}  // namespace sondeline
