#include "grade/ground.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

GroundLine two_points() {
    return ground_line({{0.0, {100.0, 0.004}}, {20.0, {99.0, 0.004}}});
}

TEST(Ground, IsLinearBetweenKnownPointsAndHeldBeyond) {
    EXPECT_NEAR(ground_at(two_points(), 5.0)->value, 99.75, 1e-12);
    EXPECT_NEAR(ground_at(two_points(), 25.0)->value, 99.0, 1e-12);
    EXPECT_NEAR(ground_at(two_points(), -2.0)->value, 100.0, 1e-12);
}

TEST(Ground, IsAsSureAsItsPointsThereAndLessSureAway) {
    EXPECT_NEAR(ground_at(two_points(), 20.0)->sd, 0.004, 1e-12);
    const double near = ground_at(two_points(), 2.0)->sd;
    const double middle = ground_at(two_points(), 10.0)->sd;
    const double beyond = ground_at(two_points(), 30.0)->sd;
    EXPECT_LT(near, middle);
    EXPECT_LT(middle, beyond);
    EXPECT_NEAR(ground_at(two_points(), 18.0)->sd, near, 1e-12);
}

TEST(Ground, ErrsTogetherWithinAGapAndApartAcrossAKnownPoint) {
    const GroundLine line =
        ground_line({{0.0, {100.0, 0.0}}, {10.0, {100.0, 0.0}}, {20.0, {100.0, 0.0}}});
    EXPECT_GT(ground_covariance_m2(line, 4.0, 6.0), 0.0);
    EXPECT_DOUBLE_EQ(ground_covariance_m2(line, 4.0, 16.0), 0.0);
    EXPECT_DOUBLE_EQ(ground_covariance_m2(line, 4.0, 6.0), ground_covariance_m2(line, 6.0, 4.0));
}

TEST(Ground, KeepsTheBetterOfTwoPointsAtOnePlace) {
    const GroundLine line = ground_line({{3.0, {100.3, 0.15}}, {3.02, {100.0, 0.004}}});
    ASSERT_EQ(line.known.size(), 1U);
    EXPECT_NEAR(ground_at(line, 3.0)->value, 100.0, 1e-12);
}

TEST(Ground, IsUnknownWithoutPoints) {
    EXPECT_FALSE(ground_at({}, 3.0).has_value());
}

}  // namespace
}  // namespace sondeline::grade
