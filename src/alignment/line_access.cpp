#include <algorithm>
#include <cmath>
#include <numbers>

#include "sondeline/alignment.hpp"

namespace sondeline {
namespace {

// Nominal station and station along the pipe run together from bend to bend; between two points
// both are linear.
double interpolated(double at, double a0, double a1, double b0, double b1) {
    return a1 > a0 ? b0 + (b1 - b0) * (at - a0) / (a1 - a0) : b0;
}

PlanCovariance blend(const Eigen::MatrixXd& covariance, Eigen::Index first, double share) {
    Eigen::Matrix<double, 2, 4> weights = Eigen::Matrix<double, 2, 4>::Zero();
    weights.leftCols<2>() = (1.0 - share) * Eigen::Matrix2d::Identity();
    weights.rightCols<2>() = share * Eigen::Matrix2d::Identity();
    const Eigen::Matrix2d c =
        weights * covariance.block<4, 4>(2 * first, 2 * first) * weights.transpose();
    return {c(0, 0), c(0, 1), c(1, 1)};
}

}  // namespace

double station_of_x(const AlignedRun& run, double x_m) {
    const auto& points = run.points;
    if (points.size() < 2 || x_m <= points.front().x_m || x_m >= points.back().x_m) {
        const bool beyond = points.size() >= 2 && x_m >= points.back().x_m;
        const double from_x = beyond ? points.back().x_m : 0.0;
        const double from_station = beyond ? points.back().station_m : 0.0;
        return from_station + run.scale.value * (x_m - from_x);
    }
    const auto after = std::find_if(points.begin(), points.end(),
                                    [&](const LinePoint& point) { return point.x_m > x_m; });
    const LinePoint& a = *(after - 1);
    return interpolated(x_m, a.x_m, after->x_m, a.station_m, after->station_m);
}

std::optional<LinePoint> point_at(const AlignedRun& run, double station_m) {
    const auto& points = run.points;
    if (points.empty()) return std::nullopt;
    if (!(station_m > points.front().station_m)) return points.front();
    if (station_m >= points.back().station_m) return points.back();
    const auto after = std::find_if(points.begin(), points.end(), [&](const LinePoint& point) {
        return point.station_m > station_m;
    });
    const LinePoint& a = *(after - 1);
    const LinePoint& b = *after;
    const double share = interpolated(station_m, a.station_m, b.station_m, 0.0, 1.0);
    LinePoint out = a;
    out.station_m = station_m;
    out.x_m = a.x_m + share * (b.x_m - a.x_m);
    out.at = {a.at.e_m + share * (b.at.e_m - a.at.e_m), a.at.n_m + share * (b.at.n_m - a.at.n_m)};
    if (run.covariance.rows() == 2 * static_cast<Eigen::Index>(points.size())) {
        out.cov = blend(run.covariance, after - points.begin() - 1, share);
    }
    return out;
}

ErrorEllipse error_ellipse(const PlanCovariance& cov) {
    const double mean = 0.5 * (cov.ee + cov.nn);
    const double half = 0.5 * (cov.ee - cov.nn);
    const double root = std::hypot(half, cov.en);
    double azimuth = 0.5 * std::atan2(2.0 * cov.en, cov.nn - cov.ee);
    if (azimuth < 0.0) azimuth += std::numbers::pi;
    return {.long_sd_m = std::sqrt(std::max(0.0, mean + root)),
            .short_sd_m = std::sqrt(std::max(0.0, mean - root)),
            .long_axis = {azimuth}};
}

}  // namespace sondeline
