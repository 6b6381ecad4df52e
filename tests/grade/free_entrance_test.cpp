#include "grade/free_entrance.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

// Critical depth by Straub's formula, y = 1.01 D^−0.26 (Q²/g)^0.25, good for 0.02 ≤ y/D ≤ 0.85
// (Straub 1978, as given in French, Open-Channel Hydraulics; from memory). It is itself within 8 %
// of the exact depth, most near the dry end.
double straub_depth_m(Bore bore, double flow_m3_per_s) {
    return 1.01 / std::pow(bore.diameter_m, 0.26) *
           std::pow(flow_m3_per_s * flow_m3_per_s / 9.80665, 0.25);
}

TEST(FreeEntrance, AgreesWithThePublishedFormulaForCriticalDepth) {
    for (const double diameter_m : {0.1, 0.15, 0.3}) {
        const Bore bore{diameter_m};
        for (const double head : {0.1, 0.2, 0.4, 0.6, 0.8}) {
            const double flow_m3_per_s = free_entrance_l_per_s(bore, head * diameter_m) / 1000.0;
            const double depth_m = straub_depth_m(bore, flow_m3_per_s);
            const WettedSection section = wetted_section(bore, depth_m);
            EXPECT_NEAR(depth_m + section.area_m2 / (2.0 * section.surface_width_m),
                        head * diameter_m, 0.08 * head * diameter_m)
                << diameter_m << " " << head;
        }
    }
}

// Half full, by geometry: A = πD²/8 and T = D, so that the head is D(1/2 + π/16).
TEST(FreeEntrance, FlowsHalfFullUnderTheHeadThatGeometryGives) {
    constexpr double diameter_m = 0.1;
    const double area_m2 = std::numbers::pi * diameter_m * diameter_m / 8.0;
    const double flow_l_per_s = 1000.0 * area_m2 * std::sqrt(9.80665 * area_m2 / diameter_m);
    EXPECT_NEAR(free_entrance_l_per_s({diameter_m}, diameter_m * (0.5 + std::numbers::pi / 16.0)),
                flow_l_per_s, 1e-9);
}

TEST(FreeEntrance, LetsNothingThroughWhenDry) {
    EXPECT_EQ(free_entrance_l_per_s({0.1}, 0.0), 0.0);
    EXPECT_EQ(free_entrance_l_per_s({0.1}, -0.01), 0.0);
    EXPECT_EQ(free_entrance_l_per_s({0.0}, 0.01), 0.0);
}

TEST(FreeEntrance, LetsNoMoreThroughAboveItsLimit) {
    EXPECT_EQ(free_entrance_l_per_s({0.1}, 0.5), free_entrance_l_per_s({0.1}, 0.09));
}

}  // namespace
}  // namespace sondeline::grade
