#include "footage/passing/turns.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// Looks each 0.3 s, 7 cm apart, the far dark swaying by a hundredth of the picture.
std::vector<PlacedCentre> straight_push(int looks) {
    std::vector<PlacedCentre> centres;
    centres.reserve(static_cast<std::size_t>(looks));
    for (int i = 0; i < looks; ++i) {
        centres.push_back({0.3 * i, 0.07 * i, 0.66 + 0.01 * std::sin(1.7 * i), 0.5});
    }
    return centres;
}

TEST(SuddenTurns, AreNotInASwayingHead) {
    EXPECT_TRUE(sudden_turns(straight_push(60)).empty());
}

TEST(SuddenTurns, AreWhereTheFarDarkLeapsAside) {
    auto centres = straight_push(60);
    for (std::size_t i = 30; i < centres.size(); ++i) centres[i].across -= 0.2;
    const auto turns = sudden_turns(centres);
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_NEAR(turns[0].x_m, 0.07 * 29.5, 0.01);
    EXPECT_NEAR(turns[0].time_s, 0.3 * 29.5, 0.01);
}

TEST(SuddenTurns, AreOnePlaceWhenTheHeadGoesThroughAFittingBitByBit) {
    auto centres = straight_push(60);
    for (std::size_t i = 28; i < 31; ++i) centres[i].down -= 0.2;
    EXPECT_EQ(sudden_turns(centres).size(), 1U);
}

TEST(SuddenTurns, AreNotWhereTheHeadStandsOrWasNotSeenForLong) {
    auto standing = straight_push(60);
    for (std::size_t i = 30; i < standing.size(); ++i) {
        standing[i].across -= 0.2;
        standing[i].x_m -= 0.07;
    }
    EXPECT_TRUE(sudden_turns(standing).empty());
    auto gone = straight_push(60);
    for (std::size_t i = 30; i < gone.size(); ++i) {
        gone[i].across -= 0.2;
        gone[i].time_s += 10.0;
    }
    EXPECT_TRUE(sudden_turns(gone).empty());
}

TEST(SuddenTurns, AreBeyondWhatTheHeadsOwnSwayIs) {
    auto centres = straight_push(60);
    for (std::size_t i = 0; i < centres.size(); ++i) centres[i].down += i % 2 == 0 ? 0.05 : 0.0;
    for (std::size_t i = 30; i < centres.size(); ++i) centres[i].across -= 0.15;
    EXPECT_TRUE(sudden_turns(centres).empty());
}

}  // namespace
}  // namespace sondeline
