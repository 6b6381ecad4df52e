// Order statistics of a few figures.
#pragma once

#include <vector>

namespace sondeline {

// The value with `share` of the others below it, of those given, without interpolation; the lower
// middle one for a half of an even number. `values` is not empty, `share` within 0 … 1.
double quantile(std::vector<double> values, double share);

}  // namespace sondeline
