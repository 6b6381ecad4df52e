#include "terms/quantile.hpp"

#include <algorithm>

namespace sondeline {

double quantile(std::vector<double> values, double share) {
    return quantile_of_reordered(values, share);
}

double quantile_of_reordered(std::span<double> values, double share) {
    const auto at = values.begin() +
                    static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

double upper_median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

}  // namespace sondeline
