#include <gtest/gtest.h>

#include "sondeline/alignment.hpp"

namespace sondeline {
namespace {

constexpr double deg = 3.14159265358979323846 / 180.0;

// Formulas of the error ellipse: Ghilani, Adjustment Computations (from memory); numbers
// recomputed.
TEST(ErrorEllipse, MatchesTheWorkedValues) {
    const ErrorEllipse ellipse = error_ellipse({9e-4, 6e-4, 16e-4});
    EXPECT_NEAR(ellipse.long_sd_m, 0.044098, 5e-7);
    EXPECT_NEAR(ellipse.short_sd_m, 0.023566, 5e-7);
    EXPECT_NEAR(ellipse.long_axis.rad / deg, 29.8718, 5e-5);
    EXPECT_NEAR(ellipse_95 * ellipse.long_sd_m, 0.107938, 5e-6);
    EXPECT_NEAR(ellipse_95 * ellipse.short_sd_m, 0.057684, 5e-6);
}

TEST(ErrorEllipse, PointsAlongTheAxisOfLargerSpread) {
    EXPECT_NEAR(error_ellipse({4e-4, 0.0, 1e-4}).long_axis.rad, 90.0 * deg, 1e-12);
    EXPECT_NEAR(error_ellipse({1e-4, 0.0, 4e-4}).long_axis.rad, 0.0, 1e-12);
    EXPECT_NEAR(error_ellipse({2e-4, -1e-4, 2e-4}).long_axis.rad, 135.0 * deg, 1e-12);
}

// FGDC-STD-007.3-1998 (NSSDA): 1.7308·RMSEr = 2.4477·RMSEx for the plane, 1.9600·RMSEz in height.
TEST(Factors, AreThoseOfTheNationalStandardForSpatialDataAccuracy) {
    EXPECT_NEAR(ellipse_95, 2.4477, 5e-5);
    EXPECT_NEAR(ellipse_95 / std::sqrt(2.0), 1.7308, 5e-5);
    EXPECT_NEAR(normal_95, 1.9600, 5e-5);
    EXPECT_NEAR(std::exp(-0.5 * ellipse_95 * ellipse_95), 0.05, 1e-7);
}

AlignedRun drawn_run() {
    AlignedRun run;
    run.scale = {1.02, 0.01};
    for (const double x : {0.0, 1.0, 3.0}) {
        run.points.push_back(
            {.station_m = 1.02 * x, .x_m = x, .at = {2.0 * x, 0.0}, .cov = {0.01, 0.0, 0.04}});
    }
    run.covariance = Eigen::MatrixXd::Zero(6, 6);
    run.covariance.diagonal() << 0.01, 0.04, 0.01, 0.04, 0.01, 0.04;
    return run;
}

TEST(StationOfX, FollowsThePointsAndTheScaleBeyondThem) {
    const AlignedRun run = drawn_run();
    EXPECT_NEAR(station_of_x(run, 2.0), 2.04, 1e-12);
    EXPECT_NEAR(station_of_x(run, 4.0), 4.08, 1e-12);
    EXPECT_NEAR(station_of_x(run, -0.5), -0.51, 1e-12);
    AlignedRun bare;
    bare.scale = {0.98, 0.01};
    EXPECT_NEAR(station_of_x(bare, 10.0), 9.8, 1e-12);
}

TEST(PointAt, InterpolatesAndStopsAtTheEnds) {
    const AlignedRun run = drawn_run();
    EXPECT_NEAR(point_at(run, 2.04)->at.e_m, 4.0, 1e-12);
    EXPECT_NEAR(point_at(run, 99.0)->at.e_m, 6.0, 1e-12);
    EXPECT_NEAR(point_at(run, -1.0)->at.e_m, 0.0, 1e-12);
    EXPECT_FALSE(point_at(AlignedRun{}, 1.0));
}

// Midway between two independent points the variance is half of theirs.
TEST(PointAt, CombinesTheCovarianceOfItsNeighbours) {
    EXPECT_NEAR(point_at(drawn_run(), 2.04)->cov.ee, 0.005, 1e-12);
    EXPECT_NEAR(point_at(drawn_run(), 2.04)->cov.nn, 0.02, 1e-12);
}

}  // namespace
}  // namespace sondeline
