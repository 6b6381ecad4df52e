#include "grade/normal.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

// Percentage points of the normal distribution: Wichura, AS 241 (1988), prints the first three as
// its own check values; the others stand in any statistical table.
TEST(NormalQuantile, AgreesWithPublishedValues) {
    EXPECT_NEAR(normal_quantile(0.25), -0.6744897501960817, 1e-15);
    EXPECT_NEAR(normal_quantile(0.001), -3.090232306167814, 1e-14);
    EXPECT_NEAR(normal_quantile(1e-20), -9.262340089798408, 1e-13);
    EXPECT_NEAR(normal_quantile(0.975), 1.959964, 5e-7);
    EXPECT_NEAR(normal_quantile(0.90), 1.281552, 5e-7);
    EXPECT_EQ(normal_quantile(0.5), 0.0);
}

TEST(NormalQuantile, InvertsTheErrorFunctionOfTheStandardLibrary) {
    for (double z = -8.0; z <= 6.0; z += 0.37) {
        EXPECT_NEAR(normal_quantile(normal_cdf(z)), z, 1e-8) << z;
    }
}

TEST(LogNormalCdf, StaysAccurateWhereTheProbabilityUnderflows) {
    EXPECT_NEAR(log_normal_cdf(0.0), std::log(0.5), 1e-15);
    // Abramowitz and Stegun, table 26.2: −log₁₀ Q(x) at x = 50 is 544.96634.
    EXPECT_NEAR(-log_normal_cdf(-50.0) / std::log(10.0), 544.96634, 5e-5);
    EXPECT_NEAR(log_normal_cdf(-29.999), log_normal_cdf(-30.001), 0.07);
}

TEST(Draws, DependOnTheirNameAlone) {
    Draws one("L1");
    Draws same("L1");
    Draws other("L2");
    EXPECT_EQ(one.uniform(), same.uniform());
    EXPECT_NE(one.uniform(), other.uniform());
}

TEST(Draws, HaveTheMomentsOfTheNormalDistribution) {
    Draws draws("moments");
    double sum = 0.0;
    double squares = 0.0;
    constexpr int kCount = 20000;
    for (int k = 0; k < kCount; ++k) {
        const double value = draws.normal();
        sum += value;
        squares += value * value;
    }
    EXPECT_NEAR(sum / kCount, 0.0, 4.0 / std::sqrt(kCount));
    EXPECT_NEAR(squares / kCount, 1.0, 4.0 * std::sqrt(2.0 / kCount));
}

// Mean of N(μ, σ²) cut at 0 is μ + σ·φ(a)/(1 − Φ(a)), a = −μ/σ (Johnson, Kotz and Balakrishnan,
// Continuous Univariate Distributions, from memory).
TEST(Draws, CutANormalAtZero) {
    for (const double mean : {0.5, 0.0, -3.0, -12.0}) {
        Draws draws("cut");
        double sum = 0.0;
        constexpr int kCount = 20000;
        for (int k = 0; k < kCount; ++k) {
            const double value = draws.normal_above_zero({mean, 1.0});
            ASSERT_GE(value, 0.0);
            sum += value;
        }
        const double density = std::exp(-0.5 * mean * mean) / std::sqrt(2.0 * 3.14159265358979);
        const double expected = mean + density / normal_cdf(mean);
        EXPECT_NEAR(sum / kCount, expected, 0.03 * expected) << mean;
    }
}

}  // namespace
}  // namespace sondeline::grade
