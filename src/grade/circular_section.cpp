#include "grade/circular_section.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sondeline::grade {

namespace {

// Below this change of depth the difference quotient loses more to rounding than the area at the
// middle depth loses to curvature.
constexpr double kEvenDepth_m = 1e-6;
constexpr double kLitresPerM3 = 1000.0;

}  // namespace

double full_area_m2(Bore bore) {
    return std::numbers::pi * bore.diameter_m * bore.diameter_m / 4.0;
}

WettedSection wetted_section(Bore bore, double depth_m) {
    const double diameter_m = bore.diameter_m;
    if (!(depth_m > 0.0) || !(diameter_m > 0.0)) return {};
    const double depth = std::min(depth_m, diameter_m);
    const double theta = 2.0 * std::acos(std::clamp(1.0 - 2.0 * depth / diameter_m, -1.0, 1.0));
    WettedSection section;
    section.area_m2 = diameter_m * diameter_m / 8.0 * (theta - std::sin(theta));
    section.perimeter_m = diameter_m * theta / 2.0;
    section.hydraulic_radius_m = section.area_m2 / section.perimeter_m;
    section.surface_width_m = diameter_m * std::sin(theta / 2.0);
    return section;
}

double area_integral_m3(Bore bore, double depth_m) {
    const double r = bore.diameter_m / 2.0;
    if (!(depth_m > 0.0) || !(r > 0.0)) return 0.0;
    if (depth_m >= bore.diameter_m) {
        return full_area_m2(bore) * (depth_m - r);
    }
    const double c = (r - depth_m) / r;
    const double s = std::sqrt(std::max(0.0, 1.0 - c * c));
    return r * r * r * (s - c * std::acos(c) - s * s * s / 3.0);
}

double volume_l(Bore bore, const WaterPiece& piece) {
    const double change_m = piece.last_depth_m - piece.first_depth_m;
    if (std::abs(change_m) < kEvenDepth_m) {
        const double middle_m = 0.5 * (piece.first_depth_m + piece.last_depth_m);
        return kLitresPerM3 * piece.length_m * wetted_section(bore, middle_m).area_m2;
    }
    const double integral =
        area_integral_m3(bore, piece.last_depth_m) - area_integral_m3(bore, piece.first_depth_m);
    return kLitresPerM3 * piece.length_m * integral / change_m;
}

}  // namespace sondeline::grade
