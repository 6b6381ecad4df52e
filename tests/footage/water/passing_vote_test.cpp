#include "footage/water/passing_vote.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

constexpr double kDown_rad = CV_PI / 2;
constexpr double kShift = 6.0;  // columns

Shores shores_to(double half_rad) {
    Shores shores;
    shores.down_rad = kDown_rad;
    shores.half_rad = half_rad;
    return shores;
}

// A wall that passes a lens `low` radii below the axis: at a pace of one over its distance (plane
// geometry; a lens on the axis is a radius away from all of it).
WallPassing passing_wall(double low) {
    WallPassing passing{};
    for (int i = 0; i < flow_sectors; ++i) {
        const double off = direction_of_sector(i) - kDown_rad;
        const double aside = low * std::sin(off);
        const double distance = -low * std::cos(off) + std::sqrt(1.0 - aside * aside);
        SectorPassing& sector = passing[static_cast<std::size_t>(i)];
        sector.shift = static_cast<float>(1.0 / distance);
        sector.alike = 0.9F;
    }
    return passing;
}

// What is seen between the shores moves at another pace.
WallPassing with_surface(WallPassing passing, const Shores& shores, float pace) {
    for (int i = 0; i < flow_sectors; ++i) {
        if (beside_shores(direction_of_sector(i), shores) == Beside::surface) {
            passing[static_cast<std::size_t>(i)].shift *= pace;
        }
    }
    return passing;
}

TEST(PassingVote, TakesWhatPassesAsTheWallDoesForWall) {
    const PassingVote vote = passing_vote(passing_wall(0.0), kShift, shores_to(1.0), {0.0});
    EXPECT_GT(vote.directions, 3);
    for (const double surface : vote.for_surface) EXPECT_LT(surface, -3.0);
}

TEST(PassingVote, TakesWhatPassesAtAnotherPaceForASurface) {
    const Shores shores = shores_to(1.0);
    const WallPassing wet = with_surface(passing_wall(0.0), shores, 0.4F);
    for (const double surface : passing_vote(wet, kShift, shores, {0.0}).for_surface) {
        EXPECT_GT(surface, 3.0);
    }
}

TEST(PassingVote, ExpectsTheInvertToPassFasterBelowALensThatRidesLow) {
    const PassingVote vote = passing_vote(passing_wall(0.4), kShift, shores_to(1.0), {0.4});
    EXPECT_LT(vote.for_surface[1], -3.0);
    // By a wrong height it would be taken for a surface.
    EXPECT_GT(passing_vote(passing_wall(0.4), kShift, shores_to(1.0), {-0.2}).for_surface[1], 0.0);
}

// Columns unrolled about a point above where the wall comes from: that straight down passes slower.
TEST(PassingVote, AllowsForAVanishingPointThatIsOff) {
    WallPassing passing = passing_wall(0.4);
    for (int i = 0; i < flow_sectors; ++i) {
        passing[static_cast<std::size_t>(i)].shift *=
            static_cast<float>(1.0 - 0.3 * std::cos(direction_of_sector(i) - kDown_rad));
    }
    const Shores shores = shores_to(1.0);
    EXPECT_LT(passing_vote(passing, kShift, shores, {0.4, -0.3}).for_surface[1], -3.0);
    EXPECT_GT(passing_vote(passing, kShift, shores, {0.4, 0.0}).for_surface[1], 0.0);
}

TEST(PassingVote, SaysNothingOfWhatPassesTooFastToBeFollowed) {
    EXPECT_EQ(passing_vote(passing_wall(0.0), 14.0, shores_to(1.0), {0.0}).directions, 0);
}

TEST(PassingVote, SaysNothingWhereThePicturesHaveNothingInCommon) {
    WallPassing passing = passing_wall(0.0);
    for (SectorPassing& sector : passing) sector.alike = 0.1F;
    const PassingVote vote = passing_vote(passing, kShift, shores_to(1.0), {0.0});
    EXPECT_EQ(vote.directions, 0);
    EXPECT_EQ(vote.for_surface[0], 0.0);
}

TEST(Paces, FindTheWallsOwnWithoutKnowingTheShores) {
    const Shores shores = shores_to(1.0);
    const auto paces = paces_of(with_surface(passing_wall(0.0), shores, 0.3F), kShift);
    ASSERT_TRUE(paces);
    for (int i = 0; i < flow_sectors; ++i) {
        const Beside where = beside_shores(direction_of_sector(i), shores);
        if (where == Beside::shore) continue;
        EXPECT_EQ((*paces)[static_cast<std::size_t>(i)],
                  where == Beside::surface ? Pace::other : Pace::of_wall)
            << i;
    }
}

}  // namespace
}  // namespace sondeline
