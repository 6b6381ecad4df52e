#include "footage/water/water_reaches.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::IsEmpty;
using testing::SizeIs;

constexpr LensPlace known_lens{{0.5, 0.03}, 0.0};

// A look every 0.1 m along a smooth wall.
struct Push {
    std::vector<PlacedLook> looks;

    explicit Push(double to_m, double from_m = 0.0) {
        for (int i = 0; i <= std::lround((to_m - from_m) / 0.1); ++i) {
            PlacedLook one;
            one.look.pipe = true;
            one.look.marks = 0.06F;
            one.state = WaterState::dry;
            one.x_m = from_m + 0.1 * i;
            one.placed = true;
            looks.push_back(one);
        }
    }

    template <class Change>
    Push& between(double from_m, double to_m, const Change& change) {
        for (PlacedLook& one : looks) {
            if (one.x_m > from_m - 1e-6 && one.x_m < to_m + 1e-6) change(one);
        }
        return *this;
    }

    std::vector<WaterReach> reaches(const LensPlace& lens = known_lens,
                                    std::span<const WaterStretch> claimed = {}) const {
        return water_reaches(looks, lens, 1.0, claimed);
    }
};

void follow_shores(PlacedLook& one) {
    one.state = WaterState::water;
}

void lose_the_pipe(PlacedLook& one) {
    one.look.pipe = false;
    one.state = WaterState::no_pipe;
}

TEST(WaterReaches, AreOneWhereAPlainWallIsSeenThroughout) {
    const auto reaches = Push(6.0).reaches();
    ASSERT_THAT(reaches, SizeIs(1));
    EXPECT_NEAR(reaches[0].from, 0.0, 1e-9);
    EXPECT_NEAR(reaches[0].to, 6.0, 1e-9);
    EXPECT_TRUE(reaches[0].sure_share);
    EXPECT_FALSE(reaches[0].left_open);
}

TEST(WaterReaches, AreInTheCountersUnit) {
    // The international foot is 0.3048 m by definition.
    const auto reaches = water_reaches(Push(6.0).looks, known_lens, 0.3048, {});
    ASSERT_THAT(reaches, SizeIs(1));
    EXPECT_NEAR(reaches[0].to, 6.0 / 0.3048, 1e-9);
}

TEST(WaterReaches, AreNotSureOfAWallFullOfMarks) {
    Push push(6.0);
    push.between(0.0, 6.0, [](PlacedLook& one) { one.look.marks = 0.2F; });
    const auto reaches = push.reaches();
    ASSERT_THAT(reaches, SizeIs(1));
    EXPECT_FALSE(reaches[0].sure_share);
}

TEST(WaterReaches, AreNotSureWhenNothingTellsHowHighTheLensRides) {
    EXPECT_FALSE(Push(6.0).reaches({0.5, 0.12}).at(0).sure_share);
}

TEST(WaterReaches, JudgeThePicturesPieceByPiece) {
    Push push(6.0);
    push.between(4.0, 6.0, [](PlacedLook& one) { one.look.marks = 0.2F; });
    const auto reaches = push.reaches();
    ASSERT_THAT(reaches, SizeIs(2));
    EXPECT_TRUE(reaches[0].sure_share);
    EXPECT_FALSE(reaches[1].sure_share);
    EXPECT_NEAR(reaches[1].from, 4.0, 0.2);
}

TEST(WaterReaches, LeaveOutWhereThePipeIsNotSeen) {
    Push push(10.0);
    push.between(2.05, 2.95, lose_the_pipe);
    const auto reaches = push.reaches();
    ASSERT_THAT(reaches, SizeIs(testing::Ge(2U)));
    for (const WaterReach& reach : reaches) {
        EXPECT_TRUE(reach.to < 2.01 || reach.from > 2.99) << reach.from << " " << reach.to;
    }
}

TEST(WaterReaches, LeaveOpenWhereShoresWereFollowedAndNothingClaimed) {
    Push push(6.0);
    push.between(3.0, 4.0, follow_shores);
    const auto reaches = push.reaches();
    ASSERT_THAT(reaches, SizeIs(3));
    EXPECT_FALSE(reaches[0].left_open);
    EXPECT_TRUE(reaches[1].left_open);
    EXPECT_NEAR(reaches[1].from, 2.9, 1e-6);  // from the last look that shows none
    EXPECT_NEAR(reaches[1].to, 4.1, 1e-6);
    EXPECT_FALSE(reaches[2].left_open);
}

TEST(WaterReaches, LeaveNothingOpenWhereWaterIsClaimed) {
    Push push(6.0);
    push.between(3.0, 4.0, follow_shores);
    const std::vector<WaterStretch> claimed{{2.9, 4.1}};
    const auto reaches = push.reaches(known_lens, claimed);
    ASSERT_THAT(reaches, SizeIs(1));
    EXPECT_FALSE(reaches[0].left_open);
}

TEST(WaterReaches, CountAHeadThatStandsOnce) {
    Push push(3.0);
    // It looks at a joint, for as long as it stands.
    PlacedLook still = push.looks[10];
    still.look.marks = 0.3F;
    for (int i = 0; i < 200; ++i) push.looks.push_back(still);
    const auto reaches = push.reaches();
    ASSERT_THAT(reaches, SizeIs(1));
    EXPECT_TRUE(reaches[0].sure_share);
}

TEST(WaterReaches, NeedLooksThatLieCloseTogether) {
    Push push(6.0);
    std::erase_if(push.looks, [&](const PlacedLook& one) {
        return std::lround(one.x_m / 0.1) % 4 != 0;  // 0.4 m apart
    });
    EXPECT_THAT(push.reaches(), IsEmpty());
}

TEST(WaterReaches, TakeNoLookWithoutAPlace) {
    Push push(6.0);
    push.between(0.0, 6.0, [](PlacedLook& one) { one.placed = false; });
    EXPECT_THAT(push.reaches(), IsEmpty());
    EXPECT_THAT(water_reaches({}, known_lens, 1.0, {}), IsEmpty());
}

}  // namespace
}  // namespace sondeline
