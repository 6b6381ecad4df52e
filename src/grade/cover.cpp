#include "grade/cover.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>
#include <fmt/format.h>

#include "grade/normal.hpp"

namespace sondeline::grade {

namespace {

constexpr double kLowTail = 0.025;

using Index = Eigen::Index;
using Points = std::vector<const ProfilePoint*>;

std::vector<double> row_values(const Eigen::MatrixXd& matrix, Index row) {
    std::vector<double> values(static_cast<std::size_t>(matrix.cols()));
    for (Index k = 0; k < matrix.cols(); ++k) values[static_cast<std::size_t>(k)] = matrix(row, k);
    return values;
}

Bounded negated(const Bounded& bounds) {
    return {-bounds.value, -bounds.hi95, -bounds.lo95};
}

double assumed_ground_m(const Samples& samples, Index sample, double station_m) {
    return samples.ground_grade(sample) * (station_m - samples.middle_m);
}

// A factor F of the ground's covariance at the points, so that F times white noise errs as the
// ground does. Robust Cholesky, as the ground may be known exactly somewhere.
Eigen::MatrixXd ground_factor(const GroundLine& ground, const Points& points) {
    const auto n = static_cast<Index>(points.size());
    Eigen::MatrixXd covariance_m2(n, n);
    for (Index i = 0; i < n; ++i) {
        for (Index j = 0; j <= i; ++j) {
            covariance_m2(i, j) = covariance_m2(j, i) =
                ground_covariance_m2(ground, points[static_cast<std::size_t>(i)]->station_m,
                                     points[static_cast<std::size_t>(j)]->station_m);
        }
    }
    const Eigen::LDLT<Eigen::MatrixXd> split(covariance_m2);
    const Eigen::VectorXd root = split.vectorD().cwiseMax(0.0).cwiseSqrt();
    const Eigen::MatrixXd lower = split.matrixL();
    return split.transpositionsP().transpose() * Eigen::MatrixXd(lower * root.asDiagonal());
}

// Ground that was drawn at each point (a row) for each sample (a column).
Eigen::MatrixXd drawn_ground_m(const Analysis& analysis, const Points& points,
                               std::string_view name) {
    const Samples& samples = *analysis.samples;
    Eigen::MatrixXd ground_m =
        Eigen::MatrixXd::Zero(static_cast<Index>(points.size()), samples.count());
    if (points.front()->ground_m) {
        Draws draws(fmt::format("ground of {}", name));
        for (double& value : ground_m.reshaped()) value = draws.normal();
        ground_m = (ground_factor(analysis.rows.ground, points) * ground_m).eval();
    }
    for (Index i = 0; i < ground_m.rows(); ++i) {
        const ProfilePoint& point = *points[static_cast<std::size_t>(i)];
        for (Index k = 0; k < ground_m.cols(); ++k) {
            if (point.ground_m) {
                ground_m(i, k) += point.ground_m->value;
            } else if (analysis.rows.z_reference == ZReference::assumed_level_ground) {
                ground_m(i, k) = assumed_ground_m(samples, k, point.station_m);
            }
        }
    }
    return ground_m;
}

}  // namespace

Bounded widened(const Bounded& bounds, double sd) {
    const double extra = normal_95 * sd;
    return {bounds.value, bounds.value - std::hypot(bounds.value - bounds.lo95, extra),
            bounds.value + std::hypot(bounds.hi95 - bounds.value, extra)};
}

std::optional<Bounded> cover_at_point(const Analysis& analysis, const ProfilePoint& point,
                                      Index row) {
    if (point.ground_m) {
        const Bounded depth{point.ground_m->value - point.z_m.value,
                            point.ground_m->value - point.z_m.hi95,
                            point.ground_m->value - point.z_m.lo95};
        return widened(depth, point.ground_m->sd);
    }
    if (analysis.rows.z_reference == ZReference::below_ground) return negated(point.z_m);
    if (analysis.rows.z_reference != ZReference::assumed_level_ground) return std::nullopt;
    const Samples& samples = *analysis.samples;
    std::vector<double> depths = row_values(samples.z_m, row);
    for (std::size_t k = 0; k < depths.size(); ++k) {
        depths[k] = assumed_ground_m(samples, static_cast<Index>(k), point.station_m) - depths[k];
    }
    return widened(median_and_bounds(depths), kBeddingSd_m);
}

std::optional<CoverRange> cover_range(const Analysis& analysis,
                                      const std::vector<ProfilePoint>& profile,
                                      std::string_view name) {
    Points points;
    for (const ProfilePoint& point : profile) {
        if (point.cover_m) points.push_back(&point);
    }
    if (points.empty()) return std::nullopt;
    CoverRange range{*points.front()->cover_m, *points.front()->cover_m};
    for (const ProfilePoint* point : points) {
        for (double Bounded::*const part : {&Bounded::value, &Bounded::lo95, &Bounded::hi95}) {
            range.least.*part = std::min(range.least.*part, point->cover_m.value().*part);
            range.greatest.*part = std::max(range.greatest.*part, point->cover_m.value().*part);
        }
    }
    Eigen::MatrixXd depth_m = drawn_ground_m(analysis, points, name);
    for (Index i = 0; i < depth_m.rows(); ++i) {
        depth_m.row(i) -= analysis.samples->z_m.row(
            station_index(*analysis.samples, points[static_cast<std::size_t>(i)]->station_m));
    }
    std::vector<double> least = row_values(depth_m.colwise().minCoeff(), 0);
    std::vector<double> greatest = row_values(depth_m.colwise().maxCoeff(), 0);
    const double low_m = std::min(quantile(least, kLowTail), range.least.value);
    const double high_m = std::max(quantile(greatest, 1.0 - kLowTail), range.greatest.value);
    const double bedding_m = normal_95 * kBeddingSd_m;
    range.least.lo95 = std::min(
        range.least.lo95, range.least.value - std::hypot(range.least.value - low_m, bedding_m));
    range.greatest.hi95 =
        std::max(range.greatest.hi95,
                 range.greatest.value + std::hypot(high_m - range.greatest.value, bedding_m));
    return range;
}

}  // namespace sondeline::grade
