#include "grade/profile.hpp"

#include <algorithm>
#include <cmath>

#include "grade/bedding.hpp"
#include "grade/cover.hpp"
#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

constexpr double kMostPoints = 120.0;
constexpr double kWidestSpacing_m = 0.5;
constexpr double kWorstSd_m = 0.5;

using Index = Eigen::Index;

std::vector<double> row_values(const Eigen::MatrixXd& matrix, Index row) {
    std::vector<double> values(static_cast<std::size_t>(matrix.cols()));
    for (Index k = 0; k < matrix.cols(); ++k) values[static_cast<std::size_t>(k)] = matrix(row, k);
    return values;
}

std::optional<ProfilePoint> profile_point(const Analysis& analysis, Index row) {
    const Samples& samples = *analysis.samples;
    ProfilePoint point;
    point.station_m = samples.stations_m[static_cast<std::size_t>(row)];
    const Unevenness uneven = unevenness(analysis, {point.station_m, {}});
    std::vector<double> heights = row_values(samples.z_m, row);
    for (std::size_t k = 0; k < heights.size(); ++k) {
        heights[k] += uneven.mean_m(static_cast<Index>(k));
    }
    point.z_sd_m = std::hypot(mean_and_sd(heights).sd, uneven.sd_m);
    if (point.z_sd_m > kWorstSd_m) return std::nullopt;
    point.z_m = widened(median_and_bounds(heights), uneven.sd_m);
    point.ground_m = ground_at(analysis.rows.ground, point.station_m);
    point.cover_m = cover_at_point(analysis, point, row);
    return point;
}

// Every station up to 12 m; then fewer, but never more than 0.5 m apart for that.
Index point_stride(const Samples& samples) {
    const double wanted = std::ceil(static_cast<double>(samples.stations_m.size()) / kMostPoints);
    const double spacing_m = samples.stations_m[1] - samples.stations_m[0];
    const double widest = std::max(1.0, std::floor(kWidestSpacing_m / spacing_m + 1e-9));
    return static_cast<Index>(std::clamp(wanted, 1.0, widest));
}

void add_points(const Analysis& analysis, GradedRun& graded) {
    const auto last = static_cast<Index>(analysis.samples->stations_m.size()) - 1;
    const Index steps =
        (last + point_stride(*analysis.samples) - 1) / point_stride(*analysis.samples);
    for (Index step = 0; step <= steps; ++step) {
        // Spread over the whole run, so that its end is a point.
        const Index row = steps == 0 ? 0 : step * last / steps;
        if (auto point = profile_point(analysis, row)) graded.profile.push_back(*point);
    }
}

void add_ends(const Analysis& analysis, GradedRun& graded) {
    const auto unknown = [] {
        return withheld<Bounded>("The nearest depths are too far from this end.",
                                 "Tape the invert at this end, or take a depth near it.");
    };
    graded.start_invert_m = unknown();
    graded.end_invert_m = unknown();
    if (graded.profile.empty()) return;
    const ProfilePoint& first = graded.profile.front();
    const ProfilePoint& last = graded.profile.back();
    if (first.station_m <= 0.0) graded.start_invert_m = figure(first.z_m);
    if (last.station_m >= analysis.rows.length_m - 1e-9) graded.end_invert_m = figure(last.z_m);
}

void add_cover(const Analysis& analysis, GradedRun& graded) {
    const auto range = cover_range(analysis, graded.profile, graded.id.text);
    if (!range) {
        graded.min_cover_m = graded.max_cover_m =
            withheld<Bounded>("Neither the ground nor depths below it are known along this run.",
                              "Take depths along the run.");
        return;
    }
    graded.min_cover_m = figure(range->least);
    graded.max_cover_m = figure(range->greatest);
}

void add_level_range(const Analysis& analysis, GradedRun& graded) {
    if (!analysis.flow.level || !is_height(graded.z_reference)) return;
    const Eigen::MatrixXd& z = analysis.samples->z_m;
    std::vector<double> ranges;
    for (Index k = 0; k < z.cols(); ++k) {
        ranges.push_back(z.col(k).maxCoeff() - z.col(k).minCoeff());
    }
    graded.level_range_m = quantile(ranges, 0.5);
}

void add_residuals(const Analysis& analysis, GradedRun& graded) {
    const Samples& samples = *analysis.samples;
    const Eigen::VectorXd mean = samples.z_m.rowwise().mean();
    const double ground_grade = samples.ground_grade.mean();
    const auto residual_m = [&](const Row& row) {
        const double ground_m = ground_grade * (row.station_m - samples.middle_m);
        return mean(station_index(samples, row.station_m)) - ground_m - row.y_m;
    };
    for (const auto* rows : {&analysis.screening.used, &analysis.screening.rejected}) {
        for (const Row& row : *rows) {
            if (row.fix) graded.depth_residuals_m.emplace_back(*row.fix, residual_m(row));
        }
    }
    std::ranges::sort(graded.depth_residuals_m);
    for (const Row& row : analysis.screening.rejected) {
        if (row.fix) graded.rejected_depth_fixes.push_back(*row.fix);
    }
    std::ranges::sort(graded.rejected_depth_fixes);
}

}  // namespace

void add_profile(const Analysis& analysis, GradedRun& graded) {
    add_points(analysis, graded);
    add_ends(analysis, graded);
    add_cover(analysis, graded);
    add_level_range(analysis, graded);
    add_residuals(analysis, graded);
}

}  // namespace sondeline::grade
