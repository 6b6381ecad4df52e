#include "footage/passing/wall_rings.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double height_px = 120.0;
constexpr int columns = 40;

// A wall without marks, as detail_of leaves it.
Unrolled bare_wall() {
    Unrolled wall;
    wall.level = cv::Mat1f(unrolled_directions, columns, 0.0F);
    wall.known = cv::Mat1b(unrolled_directions, columns, uchar{255});
    wall.radius = radii_by_depth(12.0, 74.4, columns);
    for (int row = 0; row < wall.level.rows; ++row) {
        for (int col = 0; col < columns; ++col) {
            wall.level(row, col) = 0.002F * static_cast<float>((7 * row + 13 * col) % 5 - 2);
        }
    }
    return wall;
}

// A ring of the wall at `depth` ahead, before a lens that lies `low` of a radius off the axis.
void draw_ring(Unrolled& wall, double depth, double low, int rows) {
    const double first = height_px / wall.radius.front();
    const double step = (height_px / wall.radius.back() - first) / (columns - 1);
    for (int row = 0; row < rows; ++row) {
        const double away = 1.0 + low * std::sin(2.0 * CV_PI * row / unrolled_directions);
        const int col = cvRound((depth / away - first) / step);
        if (col >= 0 && col < columns) wall.level(row, col) -= 0.2F;
    }
}

TEST(WallRings, AreNotOnABareWall) {
    EXPECT_TRUE(rings_in(bare_wall(), {1, 0, 0}, height_px, 1.0).empty());
}

TEST(WallRings, AreFoundWhereTheyStand) {
    Unrolled wall = bare_wall();
    draw_ring(wall, 4.0, 0.0, unrolled_directions);
    const auto rings = rings_in(wall, {1, 0, 0}, height_px, 1.5);
    ASSERT_EQ(rings.size(), 1U);
    EXPECT_NEAR(rings[0].depth, 4.0, 0.2);
    EXPECT_EQ(rings[0].time_s, 1.5);
}

TEST(WallRings, AreFoundBeforeALensThatLiesLow) {
    Unrolled wall = bare_wall();
    draw_ring(wall, 4.0, -0.4, unrolled_directions);
    const auto rings = rings_in(wall, {1, 0, -0.4}, height_px, 0.0);
    ASSERT_EQ(rings.size(), 1U);
    EXPECT_NEAR(rings[0].depth, 4.0, 0.2);
    EXPECT_TRUE(rings_in(wall, {1, 0, 0}, height_px, 0.0).empty());
}

TEST(WallRings, GoAllButAllRound) {
    Unrolled most = bare_wall();
    draw_ring(most, 4.0, 0.0, unrolled_directions * 3 / 4);
    EXPECT_EQ(rings_in(most, {1, 0, 0}, height_px, 0.0).size(), 1U);
    Unrolled half = bare_wall();
    draw_ring(half, 4.0, 0.0, unrolled_directions / 2);
    EXPECT_TRUE(rings_in(half, {1, 0, 0}, height_px, 0.0).empty());
}

}  // namespace
}  // namespace sondeline
