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

TEST(SuddenTurns, AreWhereTheFarDarkIsBackAndNotWhereItBeganToGoAside) {
    auto centres = straight_push(60);
    // Half a metre of looking into a bend that is passed between the 30th look and the next.
    for (std::size_t i = 24; i < 30; ++i) {
        centres[i].across -= 0.05 * static_cast<double>(i - 23);
    }
    centres[25].across -= 0.15;  // where it leaps first
    const auto turns = sudden_turns(centres);
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_NEAR(turns[0].x_m, 0.07 * 29.5, 0.001);
}

TEST(SuddenTurns, AreWhereTheFarDarkWasLastSeenWhenNothingIsSeenBeyond) {
    auto centres = straight_push(60);
    centres.resize(31);
    for (std::size_t i = 29; i < centres.size(); ++i) centres[i].across -= 0.2;
    const auto turns = sudden_turns(centres);
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_NEAR(turns[0].x_m, 0.07 * 30, 0.001);
}

// As a drop on the lens does, and a lamp's glare.
TEST(SuddenTurns, AreNotWhereTheFarDarkIsTakenForOtherPlacesThisWayAndThat) {
    auto centres = straight_push(60);
    for (std::size_t i = 27; i < 31; ++i) centres[i].across += i % 2 == 0 ? 0.2 : -0.2;
    EXPECT_TRUE(sudden_turns(centres).empty());
}

TEST(SuddenTurns, AreNotWhereTheFarDarkHasNoPlaceToStayBeforeOrBeyond) {
    // Through the fitting as above, but the far dark wanders on one side of it.
    auto beyond = straight_push(60);
    for (std::size_t i = 24; i < 30; ++i) beyond[i].across -= 0.05 * static_cast<double>(i - 23);
    auto before = beyond;
    ASSERT_EQ(sudden_turns(beyond).size(), 1U);
    for (std::size_t i = 30; i < 45; ++i) beyond[i].down += i % 4 < 2 ? 0.09 : -0.09;
    for (std::size_t i = 0; i < 22; ++i) {
        before[i].down += 0.17 * std::sin(0.5 * static_cast<double>(i));
    }
    EXPECT_TRUE(sudden_turns(beyond).empty());
    EXPECT_TRUE(sudden_turns(before).empty());
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
