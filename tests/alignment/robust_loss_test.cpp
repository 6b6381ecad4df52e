#include "alignment/robust_loss.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace sondeline::alignment {
namespace {

// Values computed from the densities themselves: a bivariate normal mixture with 5 % of ten times
// the spread, and an axial heading with 5 % spread evenly over the half circle.
double mixture_density(double s, double k) {
    const double narrow = std::exp(-0.5 * s) / (2.0 * std::numbers::pi);
    const double wide = std::exp(-0.5 * s / (k * k)) / (2.0 * std::numbers::pi * k * k);
    return 0.95 * narrow + 0.05 * wide;
}

TEST(ContaminatedPosition, IsMinusTwiceTheLogOfTheMixtureDensity) {
    for (const double s : {0.0, 1.0, 9.0, 16.0, 60.0}) {
        const double expected = -2.0 * std::log(mixture_density(s, 10.0) / mixture_density(0, 10));
        EXPECT_NEAR(contaminated_position(s, 10.0).rho, expected, 1e-9) << s;
    }
}

TEST(ContaminatedPosition, MatchesTheWorkedValues) {
    EXPECT_NEAR(contaminated_position(9.0, 10.0).rho, 8.91246, 5e-6);
    EXPECT_NEAR(contaminated_position(9.0, 10.0).weight, 0.95710, 5e-6);
    const Loss far = contaminated_position(16.0, 10.0);
    EXPECT_NEAR(far.rho, 14.21026, 5e-6);
    EXPECT_NEAR(far.weight, 0.41436, 5e-6);
    EXPECT_NEAR(far.outlier_probability, 0.59155, 5e-6);
}

TEST(ContaminatedPosition, StaysFiniteForGrossErrors) {
    const Loss loss = contaminated_position(1e12, 10.0);
    EXPECT_TRUE(std::isfinite(loss.rho));
    EXPECT_NEAR(loss.outlier_probability, 1.0, 1e-12);
    EXPECT_NEAR(loss.weight, 0.01, 1e-12);
}

TEST(ContaminatedHeading, MatchesTheWorkedValuesForFifteenDegreesOff) {
    const double sd = 5.0 * std::numbers::pi / 180.0;
    const double r = std::sin(15.0 * std::numbers::pi / 180.0) / sd;
    const Loss loss = contaminated_heading(r * r, sd);
    EXPECT_NEAR(loss.rho, 8.2820, 5e-5);
    EXPECT_NEAR(loss.weight, 0.77046, 5e-6);
}

TEST(Losses, HaveTheirWeightAsSlope) {
    const double h = 1e-5;
    for (const double s : {0.5, 4.0, 12.0, 30.0, 200.0}) {
        const auto slope = [&](auto loss) { return (loss(s + h) - loss(s - h)) / (2.0 * h); };
        EXPECT_NEAR(slope([](double t) { return contaminated_position(t, 10.0).rho; }),
                    contaminated_position(s, 10.0).weight, 1e-6);
        EXPECT_NEAR(slope([](double t) { return contaminated_heading(t, 0.1).rho; }),
                    contaminated_heading(s, 0.1).weight, 1e-6);
        EXPECT_NEAR(slope([](double t) { return cauchy(t).rho; }), cauchy(s).weight, 1e-6);
    }
}

TEST(Losses, CostNothingAtNoResidual) {
    EXPECT_NEAR(contaminated_position(0.0, 10.0).rho, 0.0, 1e-12);
    EXPECT_NEAR(contaminated_heading(0.0, 0.1).rho, 0.0, 1e-12);
    EXPECT_DOUBLE_EQ(cauchy(0.0).rho, 0.0);
}

// Both parts of the likelihood underflow here, and P is 1 to the last digit.
TEST(ContaminatedPosition, KeepsItsLogOddsWhereTheProbabilityRoundsToOne) {
    const Loss far = contaminated_position(2000.0, 10.0);
    EXPECT_DOUBLE_EQ(far.outlier_probability, 1.0);
    EXPECT_NEAR(far.outlier_log_odds, 1000.0 - 10.0 + std::log(0.05 / 100.0 / 0.95), 1e-9);
    const Loss near = contaminated_position(9.0, 10.0);
    EXPECT_NEAR(std::exp(near.outlier_log_odds),
                near.outlier_probability / (1.0 - near.outlier_probability), 1e-12);
}

TEST(TailRatio, IsTenTimesButAtLeastTwoAndAHalfMetres) {
    EXPECT_DOUBLE_EQ(tail_ratio_of(0.5), 10.0);
    EXPECT_DOUBLE_EQ(tail_ratio_of(0.02), 125.0);
}

TEST(Cauchy, HoldsAFixHalfAMetreOffHoweverFineItIsStated) {
    for (const double sd : {0.01, 0.02, 0.05}) {
        const double s = 0.25 / (sd * sd);  // half a metre, squared and standardised
        EXPECT_NEAR(cauchy(s, seeking_width_of(sd)).weight, 0.5, 1e-12);
    }
    EXPECT_DOUBLE_EQ(seeking_width_of(0.5), cauchy_width);
}

}  // namespace
}  // namespace sondeline::alignment
