// The smallest sag that the rows of a run would show.
#pragma once

#include <optional>

#include "grade/sag_test.hpp"

namespace sondeline::grade {

// Depth of a sag of this width that is shown with probability 0.9, wherever along the run it lies:
// the mean over all it could lie at, those that no depth is near among them. Empty above
// `deepest_m`.
struct SagSize {
    double width_m = 0.0;
    double deepest_m = 0.0;
};
std::optional<double> smallest_sag_m(const SagTest& test, double length_m, const SagSize& size);

}  // namespace sondeline::grade
