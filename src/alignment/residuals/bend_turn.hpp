// The turn of a bend: any within `bend_angle_sd_rad`, and hardly one by far more than a right
// angle, which no drain has and no camera passes.
//
//   (τ/σ)² + (max(0, |τ| − τ₁)/σ₁)²     τ₁ = 100°, σ₁ = 10°; common practice, no source
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sondeline::alignment {

struct BendTurn {
    static constexpr double sharpest_rad = std::numbers::pi * 100.0 / 180.0;
    static constexpr double beyond_sd_rad = std::numbers::pi * 10.0 / 180.0;

    double sd_rad = 1.0;

    double cost(double turn_rad) const {
        const double beyond = beyond_of(turn_rad) / beyond_sd_rad;
        return turn_rad * turn_rad / (sd_rad * sd_rad) + beyond * beyond;
    }
    double gradient(double turn_rad) const {  // half the cost's
        const double beyond = beyond_of(turn_rad) / (beyond_sd_rad * beyond_sd_rad);
        return turn_rad / (sd_rad * sd_rad) + std::copysign(beyond, turn_rad);
    }
    double information(double turn_rad) const {
        const double beyond =
            beyond_of(turn_rad) > 0.0 ? 1.0 / (beyond_sd_rad * beyond_sd_rad) : 0.0;
        return 1.0 / (sd_rad * sd_rad) + beyond;
    }

  private:
    static double beyond_of(double turn_rad) {
        return std::max(0.0, std::abs(turn_rad) - sharpest_rad);
    }
};

}  // namespace sondeline::alignment
