// From metres in the local frame to pixels of the plan, north up.
#pragma once

#include "sondeline/deliverables.hpp"

namespace sondeline {

struct PlanView {
    double width_px = 760.0;
    double margin_px = 64.0;
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
    double y(PlanPoint point) const {
        return height_px / 2.0 + ((south_m + north_m) / 2.0 - point.n_m) * px_per_m;
    }
    std::string at(PlanPoint point) const;  // "x,y"
};

// The view that shows everything that has a place, as large as the page allows; empty when nothing
// has.
PlanView plan_view(const AsBuilt& as_built);

// The same for a phone, where the letters of the other would be too small to read.
PlanView narrow_plan_view(const AsBuilt& as_built);

// The same view on a sheet of this size, at `px_per_m`, in the middle of the sheet. What does not
// fit is cut off: ask fits() first.
struct SheetSize {
    double width_px = 0.0;
    double height_px = 0.0;
};
PlanView plan_view_on(const PlanView& view, const SheetSize& sheet, double px_per_m);
bool fits(const PlanView& view, const SheetSize& sheet, double px_per_m);

}  // namespace sondeline
