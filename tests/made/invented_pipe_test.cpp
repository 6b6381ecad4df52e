#include "made/invented_pipe.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace sondeline::made {
namespace {

constexpr double quarter_turn = std::numbers::pi / 2.0;

TEST(InventedPipe, RunsNorthAtHeadingZeroAndFallsAlongItsLength) {
    const InventedPipe pipe{.start_invert_m = 5.0, .fall = 0.02, .length_m = 10.0};
    const PlaceInPipe end = place_at(pipe, 10.0);
    EXPECT_NEAR(end.e_m, 0.0, 1e-9);
    EXPECT_NEAR(end.n_m, std::sqrt(10.0 * 10.0 - 0.2 * 0.2), 1e-9);
    EXPECT_NEAR(end.invert_m, 4.8, 1e-9);
}

TEST(InventedPipe, TurnsRightByItsTurns) {
    const InventedPipe pipe{.length_m = 10.0, .turns = {{4.0, quarter_turn}, {7.0, quarter_turn}}};
    const PlaceInPipe end = place_at(pipe, 10.0);
    EXPECT_NEAR(end.e_m, 3.0, 1e-9);
    EXPECT_NEAR(end.n_m, 1.0, 1e-9);
    EXPECT_NEAR(end.heading_rad, 2.0 * quarter_turn, 1e-12);
}

TEST(InventedPipe, HoldsWaterAsDeepAsTheLowestRimBelow) {
    // A level pipe with a sag of 50 mm holds 50 mm in the middle and none at its rims.
    const InventedPipe level{.length_m = 12.0, .sags = {{6.0, 4.0, 0.05}}};
    const auto depths = standing_water_m(level, {2.0, 6.0, 10.0});
    EXPECT_NEAR(depths[0], 0.0, 1e-6);
    EXPECT_NEAR(depths[1], 0.05, 1e-3);
    EXPECT_NEAR(depths[2], 0.0, 1e-6);
    // Steeper than the sag anywhere, and nothing stands: its steepest is π depth / width.
    InventedPipe steep = level;
    steep.fall = std::numbers::pi * 0.05 / 4.0 + 0.002;
    for (const double depth_m : standing_water_m(steep, {5.0, 6.0, 7.0})) {
        EXPECT_NEAR(depth_m, 0.0, 1e-6);
    }
}

}  // namespace
}  // namespace sondeline::made
