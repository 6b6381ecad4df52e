// What may lie beyond the last observation of a run, or before its first when nothing holds the
// start: a bend there is seen by nobody, and it shortens the reach as well as swinging it aside, so
// its spread is summed up bend by bend rather than from derivatives.
#pragma once

#include <vector>

#include <Eigen/Geometry>

#include "alignment/run_line.hpp"

namespace sondeline::alignment {

// From `from_x_m` (observed) to `to_x_m` (not): the tail of a run when to > from, its head when
// to < from.
struct BlindEnd {
    double from_x_m = 0.0;
    double to_x_m = 0.0;
};

// Probability of a bend in such a stretch.
double bend_probability(const BlindEnd& end);

// Adds to `points` (covariance of e0, n0, e1, n1, … at the stations `x_m`) what a bend anywhere in
// the stretch would do, then widens each position until its 95 % ellipse holds 95 % of the cases: a
// bend is rare and large, and moments alone would leave too many of them outside.
void widen_for_blind_end(const RunLine& line, const BlindEnd& end, const std::vector<double>& x_m,
                         Eigen::MatrixXd& points);

}  // namespace sondeline::alignment
