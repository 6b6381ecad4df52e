#include "grade/tail_bound.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "grade/normal.hpp"

namespace sondeline::grade {
namespace {

// Owen (1956): T(0, a) = arctan(a)/2π and T(h, 1) = Φ(h)Φ(−h)/2.
TEST(OwensT, HoldsAtTheEndsThatAreKnownInClosedForm) {
    for (const double a : {0.1, 0.5, 1.0}) {
        EXPECT_NEAR(owens_t(0.0, a), std::atan(a) / (2.0 * std::numbers::pi), 1e-9);
    }
    for (const double h : {0.5, 1.0, 2.0, 3.0, 4.0}) {
        EXPECT_NEAR(owens_t(h, 1.0), 0.5 * normal_cdf(h) * normal_cdf(-h), 1e-7);
    }
}

// By the midpoint rule with 200,000 steps.
TEST(OwensT, HoldsBetweenThem) {
    EXPECT_NEAR(owens_t(0.5, 0.5), 0.06448860, 1e-8);
    EXPECT_NEAR(owens_t(1.0, 0.5), 0.04306469, 1e-8);
    EXPECT_NEAR(owens_t(2.0, 0.5), 0.00862508, 1e-8);
}

TEST(ThresholdOfLargest, IsThatOfOneFigureWhereAllAreTheSame) {
    EXPECT_NEAR(threshold_of_largest(0.05, {1.0, 1.0, 1.0}), normal_quantile(0.95), 2e-4);
}

// Šidák: of independent ones, 1 − 0.95^(1/20) each.
TEST(ThresholdOfLargest, IsNearThatOfIndependentFigures) {
    const double exact = normal_quantile(std::pow(0.95, 1.0 / 20.0));
    EXPECT_NEAR(threshold_of_largest(0.05, std::vector<double>(19, 0.0)), exact, 0.01);
}

TEST(ThresholdOfLargest, IsExceededNoMoreOftenThanAskedAndNotMuchLess) {
    constexpr double kCorrelation = 0.9;
    constexpr int kFigures = 60;
    const double threshold =
        threshold_of_largest(0.05, std::vector<double>(kFigures - 1, kCorrelation));
    EXPECT_LT(threshold, normal_quantile(1.0 - 0.05 / kFigures) - 0.1);
    Draws draws("chain");
    int exceed = 0;
    constexpr int kChains = 10000;
    for (int chain = 0; chain < kChains; ++chain) {
        double z = draws.normal();
        double most = z;
        for (int i = 1; i < kFigures; ++i) {
            z = kCorrelation * z + std::sqrt(1.0 - kCorrelation * kCorrelation) * draws.normal();
            most = std::max(most, z);
        }
        if (most > threshold) ++exceed;
    }
    EXPECT_LE(exceed, kChains * 0.056);
    EXPECT_GE(exceed, kChains * 0.035);
}

}  // namespace
}  // namespace sondeline::grade
