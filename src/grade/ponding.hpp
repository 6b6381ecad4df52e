// Standing water that a profile would hold.
#pragma once

#include <Eigen/Core>

#include "grade/circular_section.hpp"

namespace sondeline::grade {

enum class Downstream {
    at_end,    // water leaves at the last station
    at_start,  // at the first
    either     // a line laid level: only what is shut in between two higher places stays
};

// Depth of water at every station once inflow stops and the water has drained off: the water line
// is the highest invert downstream, W_i = max(z_i, W_{i+1}). Metres, never negative, no memory of
// the bore (a pond deeper than the pipe is full of water).
Eigen::VectorXd ponded_depth_m(const Eigen::VectorXd& z_m, Downstream downstream);

// Litres standing between two stations (indices into `depth_m`), stations evenly spaced.
struct Span {
    Eigen::Index first = 0;
    Eigen::Index last = 0;
};
double ponded_volume_l(const Eigen::VectorXd& depth_m, const Span& span, Bore bore,
                       double spacing_m);

// How water deepens between the two shores of a belly of which only the greatest depth is known.
enum class BellyShape { v_shaped, parabolic, flat };

struct BellyWater {
    double length_m = 0.0;
    double deepest_m = 0.0;
};
double belly_volume_l(Bore bore, const BellyWater& water, BellyShape shape);

// Deepest water held by a cosine dip on an even grade.
struct Dip {
    double depth_m = 0.0;
    double width_m = 0.0;
    double slope = 0.0;  // fall of the grade it lies on; its sign does not matter
};
double dip_ponding_m(const Dip& dip);

}  // namespace sondeline::grade
