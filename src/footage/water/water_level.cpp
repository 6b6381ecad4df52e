#include "footage/water/water_level.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {

double surface_below_axis(double half_rad, double low) {
    // Shore at (sin, cos)·d with d the way to the wall in that direction.
    const double along = std::cos(half_rad);
    const double across = std::sin(half_rad);
    const double reach = -low * along + std::sqrt(std::max(0.0, 1.0 - low * low * across * across));
    return reach * along + low;
}

}  // namespace sondeline
