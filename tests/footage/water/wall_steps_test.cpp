#include "footage/water/wall_steps.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr int kColumns = 28;
constexpr double kMiddle = 0.68;  // of the outermost radius, where shores are measured

struct Wall {
    Unrolled unrolled;
    cv::Mat1f relative;
};

// Light that doubles at one direction, which goes on clockwise by `turn` directions each time that
// 1 / radius grows by that of the middle.
Wall wall_with_edge(double at, double turn) {
    Wall wall;
    wall.unrolled.radius = radii_by_ratio(12.0, 74.0, kColumns);
    wall.unrolled.known = cv::Mat1b(unrolled_directions, kColumns, uchar{255});
    wall.relative = cv::Mat1f(unrolled_directions, kColumns);
    for (int col = 0; col < kColumns; ++col) {
        const double radius = wall.unrolled.radius[static_cast<std::size_t>(col)];
        const double edge = at + turn * (kMiddle * 74.0 / radius - 1.0);
        for (int row = 0; row < unrolled_directions; ++row) {
            const bool after = std::remainder(row - edge, unrolled_directions) > 0.0;
            wall.relative(row, col) = after ? 1.3F : 0.7F;
        }
    }
    cv::log(wall.relative, wall.unrolled.level);
    return wall;
}

WallSteps steps_of(const Wall& wall, float turn) {
    return NearWall(wall.unrolled, wall.relative).steps(turn);
}

TEST(WallSteps, AreThoseOfTheLightWhereAnEdgePointsAtTheVanishingPoint) {
    const WallSteps steps = steps_of(wall_with_edge(19.5, 0.0), 0.0F);
    for (const std::size_t beside : {19U, 20U}) {
        EXPECT_NEAR(steps.narrow[beside], 0.6, 1e-5);
        EXPECT_NEAR(steps.steady[beside], 1.0, 1e-5);
    }
    EXPECT_NEAR(steps.log_step[19], std::log(1.3 / 0.7) * (steps.step[19] / 0.6), 1e-5);
    EXPECT_NEAR(steps.step[40], 0.0, 1e-5);
}

TEST(WallSteps, AreSharpAlongTheLineAsWhichAnEdgeTurns) {
    for (const float turn : {-6.0F, 6.0F}) {
        const Wall wall = wall_with_edge(20.0, turn);
        const float along = steps_of(wall, turn).narrow[20];
        const float straight = steps_of(wall, 0.0F).narrow[20];
        const float other = steps_of(wall, -turn).narrow[20];
        EXPECT_GT(along, 0.5F) << turn;
        EXPECT_LT(straight, 0.6F * along) << turn;
        EXPECT_LT(other, straight) << turn;
    }
}

TEST(WallSteps, AreToldOfTheirPlaceAtTheRadiusAtWhichShoresAreMeasured) {
    const WallSteps steps = steps_of(wall_with_edge(30.5, 6.0), 6.0F);
    const auto most = std::ranges::max_element(steps.step);
    EXPECT_NEAR(static_cast<double>(most - steps.step.begin()), 30.5, 1.0);
}

TEST(WallSteps, GoRoundPastTheLastDirection) {
    const WallSteps steps = steps_of(wall_with_edge(95.5, 5.0), 5.0F);
    EXPECT_GT(steps.step[0] + steps.step[95], 0.8F);
}

TEST(WallSteps, LeaveOutWhatIsNotSeen) {
    Wall wall = wall_with_edge(19.5, 0.0);
    wall.unrolled.known.rowRange(21, 23) = uchar{0};
    EXPECT_EQ(steps_of(wall, 0.0F).step[19], 0.0F);
    EXPECT_EQ(steps_of(wall, 5.0F).step[19], 0.0F);
}

}  // namespace
}  // namespace sondeline
