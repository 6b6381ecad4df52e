#include "grade/minimum_slope.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

using testing::HasSubstr;

constexpr double kInch_m = 0.0254;

double sewer_minimum(double inches) {
    return slope_asked("IPC Table 704.1", {RunKind::building_sewer, inches * kInch_m})
        .minimum.value();
}

// International Plumbing Code Table 704.1, read in Chicago Plumbing Code Table 18-29-704.1: 2-1/2
// in or less 1/4, 3 to 6 in 1/8, 8 in or larger 1/16 inch per foot.
TEST(MinimumSlope, FollowsIpcTable704) {
    EXPECT_NEAR(sewer_minimum(1.5), 0.25 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(2.5), 0.25 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(3.0), 0.125 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(4.0), 0.125 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(6.0), 0.125 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(8.0), 0.0625 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(12.0), 0.0625 / 12.0, 1e-12);
}

// Inside diameters of those sizes: cast iron 2.96 in, SDR 35 5.915 and 7.92 in (ASTM A74, D3034).
TEST(MinimumSlope, CountsAnInsideDiameterToItsNominalSize) {
    EXPECT_NEAR(sewer_minimum(2.96), 0.125 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(5.915), 0.125 / 12.0, 1e-12);
    EXPECT_NEAR(sewer_minimum(7.92), 0.0625 / 12.0, 1e-12);
}

TEST(MinimumSlope, NamesTableAndEditionAndDefersToTheLocalRule) {
    const SlopeAsked asked = slope_asked("IPC Table 704.1", {RunKind::effluent_line, 4 * kInch_m});
    EXPECT_THAT(asked.source, HasSubstr("IPC Table 704.1"));
    EXPECT_THAT(asked.source, HasSubstr("18-29-704.1"));
    EXPECT_THAT(asked.source, HasSubstr("local rule decides"));
}

// Level to at most 3 in per 100 ft: summary of California UPC Appendix H requirements.
TEST(MinimumSlope, AsksNoneOfLateralsAndTrenchesButAtMostALittle) {
    for (const RunKind kind : {RunKind::lateral, RunKind::trench}) {
        const SlopeAsked asked = slope_asked("IPC Table 704.1", {kind, 4 * kInch_m});
        EXPECT_FALSE(asked.minimum.has_value());
        EXPECT_NEAR(asked.at_most.value(), 0.0025, 1e-12);
    }
    EXPECT_FALSE(slope_asked("IPC Table 704.1", {RunKind::other, 4 * kInch_m}).minimum.has_value());
}

TEST(MinimumSlope, IsNotAskedWithoutADiameter) {
    const SlopeAsked asked = slope_asked("IPC Table 704.1", {RunKind::building_sewer, {}});
    EXPECT_FALSE(asked.minimum.has_value());
    EXPECT_THAT(asked.source, HasSubstr("diameter"));
}

TEST(MinimumSlope, KnowsItsTables) {
    EXPECT_TRUE(is_slope_table("IPC Table 704.1"));
    EXPECT_TRUE(is_slope_table("none"));
    EXPECT_FALSE(is_slope_table("IPC Table 999"));
    EXPECT_FALSE(slope_asked("none", {RunKind::building_sewer, 0.1}).minimum.has_value());
}

TEST(MinimumSlope, IsNotAskedOfARunWhoseKindIsInDoubt) {
    const SlopeAsked asked = slope_asked(
        "IPC Table 704.1", {RunKind::building_sewer, 4 * kInch_m, "box is a distribution box"});
    EXPECT_FALSE(asked.minimum.has_value());
    EXPECT_TRUE(asked.kind_doubted);
    EXPECT_THAT(asked.source, HasSubstr("box is a distribution box"));
}

}  // namespace
}  // namespace sondeline::grade
