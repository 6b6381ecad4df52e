#include "grade/pipe_size.hpp"

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

constexpr double kInch_m = 0.0254;

// Outside diameters: ASTM D3034 (SDR 35) 4.215 in, ASTM D1785 (schedule 40) 4.500 in, ASTM A74
// (service cast iron barrel) 4.30 in; insides less two minimum walls 3.975, 4.026, 3.94 in.
TEST(PipeSize, FindsThePipeOfAStandardByNominalSize) {
    const double four = 4.0 * kInch_m;
    EXPECT_NEAR(outside_diameter_m({four, "PVC SDR-35"}).value / kInch_m, 4.215, 1e-9);
    EXPECT_NEAR(outside_diameter_m({four, "Sch. 40 PVC"}).value / kInch_m, 4.500, 1e-9);
    EXPECT_NEAR(outside_diameter_m({four, "cast iron"}).value / kInch_m, 4.30, 1e-9);
    EXPECT_NEAR(inside_diameter_m({four, "PVC SDR-35"}) / kInch_m, 3.975, 1e-9);
    EXPECT_NEAR(inside_diameter_m({four, "Schedule 40"}) / kInch_m, 4.026, 1e-9);
}

TEST(PipeSize, TakesAnInsideDiameterForTheSamePipe) {
    EXPECT_NEAR(outside_diameter_m({3.975 * kInch_m, "SDR35"}).value / kInch_m, 4.215, 1e-9);
}

TEST(PipeSize, BoundsTheOutsideOfAnUnknownPipe) {
    const Estimate outside = outside_diameter_m({4.0 * kInch_m, ""});
    EXPECT_LT(outside.value - 2.0 * outside.sd, 4.215 * kInch_m);
    EXPECT_GT(outside.value + 2.0 * outside.sd, 4.500 * kInch_m);
    EXPECT_EQ(inside_diameter_m({0.1, "clay"}), 0.1);
}

}  // namespace
}  // namespace sondeline::grade
