// How well the ends of standing water are known along the pipe.
#pragma once

#include "grade/analysis.hpp"
#include "grade/ponding.hpp"

namespace sondeline::grade {

// Depth from which water is told of at all, metres.
inline constexpr double kPond_m = 0.010;

struct Ends {
    Bounded from_m;
    Bounded to_m;
};

// Of water that was noted or seen in a run of that length. An end that nobody saw may lie anywhere
// up to the run's own.
Ends ends_of_water(const Water& water, double length_m);

// Of a pond of the profile: where water of kPond_m ends, going outward from the deepest place of
// `span` in every sample that is wet there. Values are the ends of `span`; `depth_m` has a row per
// station and a column per sample.
Ends ends_of_pond(const Samples& samples, const Eigen::MatrixXd& depth_m, const Span& span);

}  // namespace sondeline::grade
