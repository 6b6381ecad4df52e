#include "grade/ground.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace sondeline::grade {

namespace {

constexpr double kUnknownFall = 0.05;
constexpr double kSamePoint_m = 0.05;

// A station between (or beyond) known points: up to two weighted neighbours, and the gap.
struct Footing {
    std::size_t gap = 0;  // number of known points before the station
    std::array<double, 2> weight{};
    double from_left_m = 0.0;  // to the nearer known point where there is only one
    double gap_m = 0.0;        // 0: beyond the outer points
};

Footing footing(const GroundLine& line, double station_m) {
    const auto& known = line.known;
    const auto after = std::ranges::lower_bound(known, station_m, {}, &GroundPoint::station_m);
    Footing at;
    at.gap = static_cast<std::size_t>(after - known.begin());
    if (after == known.begin()) {
        at.weight = {0.0, 1.0};
        at.from_left_m = after->station_m - station_m;
    } else if (after == known.end()) {
        at.weight = {1.0, 0.0};
        at.from_left_m = station_m - (after - 1)->station_m;
    } else {
        at.gap_m = after->station_m - (after - 1)->station_m;
        at.from_left_m = station_m - (after - 1)->station_m;
        const double share = at.from_left_m / at.gap_m;
        at.weight = {1.0 - share, share};
    }
    return at;
}

// Weight of known point k in the interpolation.
double weight_of(const Footing& at, std::size_t k) {
    if (k + 1 == at.gap) return at.weight[0];
    return k == at.gap ? at.weight[1] : 0.0;
}

double wander_m2(const Footing& a, const Footing& b) {
    if (a.gap != b.gap) return 0.0;
    const double near_m = std::min(a.from_left_m, b.from_left_m);
    const double far_m = std::max(a.from_left_m, b.from_left_m);
    if (a.gap_m > 0.0) return kGroundWander_m2_per_m * near_m * (a.gap_m - far_m) / a.gap_m;
    return kGroundWander_m2_per_m * near_m + kUnknownFall * kUnknownFall * near_m * far_m;
}

}  // namespace

GroundLine ground_line(std::vector<GroundPoint> points) {
    std::ranges::stable_sort(points, {}, &GroundPoint::station_m);
    GroundLine line;
    for (const GroundPoint& point : points) {
        if (line.known.empty() || point.station_m - line.known.back().station_m >= kSamePoint_m) {
            line.known.push_back(point);
        } else if (point.elevation_m.sd < line.known.back().elevation_m.sd) {
            line.known.back().elevation_m = point.elevation_m;
        }
    }
    return line;
}

std::optional<Estimate> ground_at(const GroundLine& line, double station_m) {
    if (line.known.empty()) return std::nullopt;
    const Footing at = footing(line, station_m);
    double value_m = 0.0;
    if (at.gap > 0) value_m += at.weight[0] * line.known[at.gap - 1].elevation_m.value;
    if (at.gap < line.known.size()) value_m += at.weight[1] * line.known[at.gap].elevation_m.value;
    return Estimate{value_m, std::sqrt(ground_covariance_m2(line, station_m, station_m))};
}

double ground_covariance_m2(const GroundLine& line, double first_m, double second_m) {
    if (line.known.empty()) return 0.0;
    const Footing a = footing(line, first_m);
    const Footing b = footing(line, second_m);
    double covariance_m2 = wander_m2(a, b);
    const std::size_t low = std::min(a.gap, b.gap);
    const std::size_t begin = low > 0 ? low - 1 : 0;
    const std::size_t end = std::min(line.known.size(), std::max(a.gap, b.gap) + 1);
    for (std::size_t k = begin; k < end; ++k) {
        const double sd_m = line.known[k].elevation_m.sd;
        covariance_m2 += weight_of(a, k) * weight_of(b, k) * sd_m * sd_m;
    }
    return covariance_m2;
}

}  // namespace sondeline::grade
