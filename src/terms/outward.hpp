// Bounds rounded away from the figure they belong to, so that what is shown never promises more.
#pragma once

#include <cmath>

namespace sondeline {

// What a hair's breadth of binary arithmetic adds must not cost a whole step.
inline constexpr double rounding_hair = 1e-6;

inline double rounded_down(double value, int decimals) {
    const double per_step = std::pow(10.0, decimals);
    return std::floor(value * per_step + rounding_hair) / per_step + 0.0;
}

inline double rounded_up(double value, int decimals) {
    const double per_step = std::pow(10.0, decimals);
    return std::ceil(value * per_step - rounding_hair) / per_step + 0.0;
}

}  // namespace sondeline
