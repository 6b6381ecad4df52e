#include "survey/likely_bends.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

constexpr double foot_m = 0.3048;

// Pushed from counter 2 to 62, in feet.
JoinedTrack turning_at(const std::vector<double>& counters) {
    JoinedTrack track = made::pushed_between(2.0, 62.0);
    for (const double counter : counters) track.turns.push_back({0, counter, counter});
    return track;
}

TEST(LikelyBends, StandWhereThePictureTurnsCountedFromTheStart) {
    const JoinedTrack track = turning_at({12.0, 42.0});
    const auto likely = likely_bends({}, made::reel_in(LengthUnit::foot, track));
    ASSERT_EQ(likely.size(), 2U);
    EXPECT_NEAR(likely[0].x_m, 10.0 * foot_m, 1e-9);
    EXPECT_NEAR(likely[1].x_m, 40.0 * foot_m, 1e-9);
    for (const LikelyBend& bend : likely) {
        EXPECT_FALSE(bend.noted);
        // 24 of 24 turns told were there, 0.053 m off: by Laplace's rule of succession no
        // better than 25 of 26.
        EXPECT_LT(bend.probability, 25.0 / 26.0);
        EXPECT_GT(bend.probability, 0.5);
        EXPECT_GT(bend.sd_m, 0.053);
    }
}

TEST(LikelyBends, AreOneWhereAFittingIsNotedAndThePictureTurns) {
    const JoinedTrack track = turning_at({13.0, 30.0});
    const auto likely =
        likely_bends({12.0 * foot_m, 3.0 * foot_m}, made::reel_in(LengthUnit::foot, track));
    ASSERT_EQ(likely.size(), 3U);
    EXPECT_TRUE(likely[0].noted);
    EXPECT_NEAR(likely[0].x_m, 3.0 * foot_m, 1e-9);
    EXPECT_TRUE(likely[1].noted);
    EXPECT_FALSE(likely[2].noted);
    // Noted at 12 ft and seen at 11 ft: 1/s² adds up, and so does what is left open multiply.
    const LikelyBend& noted = likely[0];
    const LikelyBend& seen = likely[2];
    const double w = 1.0 / (noted.sd_m * noted.sd_m);
    const double v = 1.0 / (seen.sd_m * seen.sd_m);
    EXPECT_NEAR(likely[1].x_m, (w * 12.0 + v * 11.0) / (w + v) * foot_m, 1e-9);
    EXPECT_NEAR(likely[1].sd_m, std::sqrt(1.0 / (w + v)), 1e-12);
    EXPECT_NEAR(1.0 - likely[1].probability, (1.0 - noted.probability) * (1.0 - seen.probability),
                1e-12);
}

TEST(LikelyBends, AreOneWhereTwoClipsShowTheSameTurn) {
    JoinedTrack track = turning_at({20.0});
    track.turns.push_back({1, 20.9, 3.0});
    EXPECT_EQ(likely_bends({}, made::reel_in(LengthUnit::foot, track)).size(), 1U);
}

TEST(LikelyBends, AreNotTakenFromAPictureThatTurnsAllTheTime) {
    std::vector<double> counters;
    for (double counter = 5.0; counter < 55.0; counter += 5.0) counters.push_back(counter);
    EXPECT_EQ(likely_bends({}, made::reel_in(LengthUnit::foot, turning_at({5.0, 10.0, 15.0, 20.0})))
                  .size(),
              4U);
    const JoinedTrack swaying = turning_at(counters);
    const auto likely = likely_bends({1.0}, made::reel_in(LengthUnit::foot, swaying));
    ASSERT_EQ(likely.size(), 1U);
    EXPECT_TRUE(likely[0].noted);
}

TEST(LikelyBends, AreThoseNotedWhereTheCounterHasNoUnitOrNothingWasFilmed) {
    const JoinedTrack track = turning_at({12.0});
    ReelReading reel = made::reel_of(track);
    reel.metres_per_count.reset();
    EXPECT_EQ(likely_bends({4.0}, reel).size(), 1U);
    EXPECT_EQ(likely_bends({4.0}, ReelReading{}).size(), 1U);
}

}  // namespace
}  // namespace sondeline
