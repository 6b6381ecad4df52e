#include "footage/water/wall_flow.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr int kColumns = 40;

Unrolled noise(std::uint64_t seed) {
    cv::RNG chance(seed);
    Unrolled wall;
    wall.level = cv::Mat1f(unrolled_directions, kColumns);
    chance.fill(wall.level, cv::RNG::NORMAL, 0.0, 0.1);
    wall.known = cv::Mat1b(unrolled_directions, kColumns, uchar{255});
    wall.radius.resize(kColumns, 1.0F);
    return wall;
}

// Moved along by so many columns; what comes in is new.
Unrolled moved(const Unrolled& wall, int columns, std::uint64_t seed) {
    Unrolled out = noise(seed);
    for (int row = 0; row < unrolled_directions; ++row) {
        for (int col = 0; col < kColumns; ++col) {
            const int from = col - columns;
            if (from >= 0 && from < kColumns) out.level(row, col) = wall.level(row, from);
        }
    }
    return out;
}

TEST(WallFlow, FindsHowFarTheWallMovedWhicheverWay) {
    for (const int shift : {-11, -5, 0, 7, 12}) {
        const Unrolled before = noise(1);
        const WallFlow flow = wall_flow(before, moved(before, shift, 2));
        EXPECT_NEAR(flow.common, shift, 0.2);
        for (const FlowSector& sector : flow.sectors) {
            EXPECT_NEAR(sector.best_shift, shift, 0.3);
            EXPECT_GT(sector.best_alike, 0.99);
        }
    }
}

TEST(WallFlow, FindsTheHalvesApartWhereTheyMoveUnlike) {
    const Unrolled before = noise(3);
    Unrolled after = moved(before, 5, 4);
    const Unrolled near = moved(before, 8, 5);
    const int middle = far_columns(kColumns);
    near.level.colRange(middle + 8, kColumns).copyTo(after.level.colRange(middle + 8, kColumns));
    for (const FlowSector& sector : wall_flow(before, after).sectors) {
        EXPECT_NEAR(sector.halves[0].shift, 5.0, 0.3);
        EXPECT_NEAR(sector.halves[1].shift, 8.0, 0.3);
    }
}

// The sums of the statistics' definition, place by place.
TEST(WallFlow, LeavesOutWhatLiesUnderOverlayText) {
    Unrolled before = noise(6);
    Unrolled after = noise(7);
    before.known(cv::Rect(10, 20, 12, 30)) = uchar{0};
    after.known(cv::Rect(4, 33, 9, 9)) = uchar{0};
    before.level(cv::Rect(10, 20, 12, 30)) = 3.0F;  // must not show
    after.level(cv::Rect(4, 33, 9, 9)) = -3.0F;
    const WallFlow flow = wall_flow(before, after);
    constexpr int kSector = 9;  // about direction 36
    for (const int shift : {-9, 0, 6}) {
        std::vector<double> x, y;
        for (int row = 33; row <= 39; ++row) {
            for (int col = 0; col < kColumns; ++col) {
                const int to = col + shift;
                if (to < 0 || to >= kColumns) continue;
                if (before.known(row, col) == 0 || after.known(row, to) == 0) continue;
                x.push_back(before.level(row, col));
                y.push_back(after.level(row, to));
            }
        }
        const cv::Mat1d a(x), b(y);
        const double mean_a = cv::mean(a)[0];
        const double mean_b = cv::mean(b)[0];
        const double shared = (a - mean_a).dot(b - mean_b);
        const double alike = shared / (cv::norm(a - mean_a) * cv::norm(b - mean_b));
        const int above_least = shift + most_flow_shift;
        const auto at = static_cast<std::size_t>(above_least);
        EXPECT_NEAR(flow.sectors[kSector].alike[at], alike, 1e-4) << shift;
        EXPECT_NEAR(flow.sectors[kSector].shared[at], shared / static_cast<double>(x.size()), 1e-5);
    }
}

}  // namespace
}  // namespace sondeline
