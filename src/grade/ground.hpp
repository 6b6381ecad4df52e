// Ground along a run from the points where its elevation is known.
#pragma once

#include <optional>
#include <vector>

#include "sondeline/terms.hpp"

namespace sondeline::grade {

struct GroundPoint {
    double station_m = 0.0;
    Estimate elevation_m;
};

// Known points by rising station, no two closer than 5 cm (the better one is kept).
struct GroundLine {
    std::vector<GroundPoint> known;
};

// Of the ground between known points, a metre.
inline constexpr double kGroundWander_m2_per_m = 0.05 * 0.05;

GroundLine ground_line(std::vector<GroundPoint> points);

// Between known points: linear, and the ground is taken to wander as a random walk tied at both,
// variance k²·d₁·d₂/(d₁+d₂), k = 0.05 m per √m (6 cm in the middle of 6 m, common practice, no
// source). Beyond the outer ones: held, sd √(k²d + (0.05 d)²), as lawns seldom fall more than 5 %.
// Empty when no point is known.
std::optional<Estimate> ground_at(const GroundLine& line, double station_m);

// Covariance of the interpolated ground at two stations, square metres: interpolated points of one
// gap err together.
double ground_covariance_m2(const GroundLine& line, double first_m, double second_m);

}  // namespace sondeline::grade
