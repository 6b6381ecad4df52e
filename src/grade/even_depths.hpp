// Depths along a run as they would be read without their scatter.
#pragma once

#include "grade/rows.hpp"

namespace sondeline::grade {

// Sets even_depth_m of the locator's rows: below known ground to the straight line through their
// heights, by least squares. A locator's proportional error goes with the depth there is, not with
// the one read: along depths as read, an error of 3 % takes up their scatter, by n/(n + 33²) of the
// depth where n were read, and turns the run by as much of the depth's own fall. Sags, breaks and
// bad readings hardly matter, as 3 % of them is little. One row alone keeps its depth.
void set_even_depths(std::vector<Row>& rows);

}  // namespace sondeline::grade
