// The headings of a locator beside the direction of the pipe on the map.
#pragma once

#include <vector>

#include "sondeline/survey.hpp"

namespace sondeline {

// A heading, and the direction of its run there by the positions of its neighbours; both clockwise
// from grid north, either way along the pipe.
struct HeadingLook {
    double heading_rad = 0.0;
    double line_rad = 0.0;
};

// Of every placed fix with a heading whose neighbours on the run lie more than a metre apart, run
// by run.
std::vector<HeadingLook> heading_looks(const std::vector<SiteFix>& fixes);

}  // namespace sondeline
