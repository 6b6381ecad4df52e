// Order statistics of a few figures.
#pragma once

#include <span>
#include <vector>

namespace sondeline {

// The value with `share` of the others below it, of those given, without interpolation; the lower
// middle one for a half of an even number. `values` is not empty, `share` within 0 … 1.
double quantile(std::vector<double> values, double share);

// The same; puts `values` into another order.
double quantile_of_reordered(std::span<double> values, double share);

// The middle one, the upper of two. Of how far figures lie from a quantile of their own, the lower
// of two would be 0.
double upper_median(std::vector<double> values);

}  // namespace sondeline
