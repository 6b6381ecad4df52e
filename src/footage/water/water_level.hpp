// The level of water from the directions in which its shores are seen.
#pragma once

namespace sondeline {

// Height of the water's surface below the pipe's axis in radii, for a lens `low` radii below the
// axis that sees the shores `half_rad` to either side of straight down. The depth over the inside
// diameter is half of what is left to 1.
double surface_below_axis(double half_rad, double low);

}  // namespace sondeline
