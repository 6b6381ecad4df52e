#include "footage/water/water_log.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A head that moves at 0.2 m/s, one look every 0.5 s.
constexpr double kSpeed_m_per_s = 0.2;

WaterLook look_with(double time_s, double ratio) {
    WaterLook look;
    look.time_s = time_s;
    look.pipe = true;
    if (ratio <= 0.0) return look;
    look.shores.emplace();
    look.shores->down_rad = 1.6;
    // Depth over diameter of a chord: (1 − cos half) / 2 (plane geometry).
    look.shores->half_rad = std::acos(1.0 - 2.0 * std::max(ratio, 0.01));
    look.shores->edge = 0.7;
    look.shores->even = 0.6;
    look.shores->far_over_near = 0.6;
    look.shores->weight = 4.0;
    return look;
}

struct Push {
    Track track;
    std::vector<WaterLook> looks;

    Push() {
        track.clip.name = "a.mp4";
        track.format = CounterFormat{};
        track.format->unit = CounterUnit::metre;
        track.format->decimals = 2;
    }

    // Travels between two counters, seeing `ratio` of the diameter at each.
    template <class Ratio>
    void travel(double from_m, double to_m, const Ratio& ratio) {
        const double way_m = to_m - from_m;
        const int steps = static_cast<int>(std::lround(std::abs(way_m) / (0.1 * kSpeed_m_per_s)));
        for (int i = 0; i < steps; ++i) {
            const double counter = from_m + way_m * i / steps;
            const double time_s = 0.1 * static_cast<double>(track.samples.size());
            track.samples.push_back(
                {time_s, counter, 1.0, way_m > 0.0 ? CounterState::push : CounterState::pull, ""});
            if (i % 5 != 0) continue;
            looks.push_back(look_with(time_s, ratio(counter)));
            // The wall comes nearer while the head is pushed in; from 0.08 m ahead by 0.1 m a look.
            FlowLook flow;
            flow.later_s = time_s + 0.2;
            flow.moved =
                (way_m > 0.0 ? 1.0 : -1.0) * 0.2 * kSpeed_m_per_s / 0.08 / water_shore_radius;
            flow.lens.emplace();  // on the axis
            looks.back().flows.push_back(flow);
        }
    }
};

// A pool from 2 to 4 m, 0.2 of the diameter deep in its middle; the lens looks a little ahead.
double pool(double counter) {
    return std::max(0.0, 0.2 * (1.0 - std::abs(counter - 3.0)));
}

TEST(WaterLog, JoinsLooksIntoOneStretchWithItsShoresAndDepth) {
    Push push;
    push.travel(0.0, 6.0, pool);
    keep_water(push.looks, push.track);
    ASSERT_TRUE(push.track.water);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    const WaterStretch& stretch = push.track.water->stretches.front();
    EXPECT_NEAR(stretch.from, 2.0, 0.2);
    EXPECT_NEAR(stretch.to, 4.0, 0.2);
    EXPECT_TRUE(stretch.from_seen);
    EXPECT_TRUE(stretch.to_seen);
    double deepest = 0.0;
    for (const WaterDepth& depth : stretch.depths) deepest = std::max(deepest, depth.share.value);
    // The looks to either side of the very tip put it right: 0.1 m of way, 0.02 of the diameter.
    EXPECT_NEAR(deepest, 0.2, 0.025);
}

// How far the other directions of travel speak for water, in the place of one look.
void set_votes(Push& push, double for_surface, std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < to; ++i) {
        for (FlowLook& flow : push.looks[i].flows) flow.vote = {{for_surface, for_surface}, 6};
    }
}

TEST(WaterLog, DoesNotTakeAPoolShapedStainThatPassesAsTheWallDoesForWater) {
    Push push;
    push.travel(0.0, 6.0, pool);
    set_votes(push, -4.0, 0, push.looks.size());
    for (WaterLook& look : push.looks) {
        if (look.shores) look.shores->far_over_near.reset();
    }
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
}

TEST(WaterLog, LetsThePlainerOfTwoWaysMakeUpForTheOther) {
    Push push;
    push.travel(0.0, 6.0, pool);
    const std::size_t pushed = push.looks.size();
    for (WaterLook& look : push.looks) {
        if (!look.shores) continue;
        look.shores->weight = 0.5;
        look.shores->far_over_near.reset();
    }
    set_votes(push, -1.0, 0, pushed);
    Push alone = push;
    keep_water(alone.looks, alone.track);
    ASSERT_TRUE(alone.track.water->stretches.empty());
    push.travel(6.0, 0.0, pool);
    set_votes(push, 3.0, pushed, push.looks.size());
    keep_water(push.looks, push.track);
    EXPECT_EQ(push.track.water->stretches.size(), 1U);
}

TEST(WaterLog, ClaimsNothingWhereOneOfTwoWaysShowsAStainedWall) {
    Push push;
    push.travel(0.0, 6.0, pool);
    const std::size_t pushed = push.looks.size();
    push.travel(6.0, 0.0, pool);
    for (std::size_t i = pushed; i < push.looks.size(); ++i) {
        if (push.looks[i].shores) push.looks[i].shores->far_over_near = 1.1;
    }
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
}

// Two looks show rising water, then the lens goes under, and comes out where nothing is seen.
TEST(WaterLog, ClaimsWaterThatTheLensGoesUnder) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) {
        return counter > 2.0 && counter < 2.25 ? 0.9 * (counter - 1.95) : 0.0;
    });
    for (WaterLook& look : push.looks) {
        const double counter = kSpeed_m_per_s * look.time_s;
        if (counter < 2.3 || counter > 3.0) continue;
        look.pipe = false;
        look.veiled = true;
        look.flows.clear();
    }
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    const WaterStretch& stretch = push.track.water->stretches.front();
    EXPECT_TRUE(stretch.deepest_unseen);
    EXPECT_TRUE(stretch.from_seen);
    EXPECT_FALSE(stretch.to_seen);
    EXPECT_NEAR(stretch.to, 3.08, 0.15);
}

// Water that rises fast hides its shores soon: seen flat, its surface mirrors the wall.
TEST(WaterLog, ClaimsWaterThatTheLensGoesUnderSoonAfterItsShore) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) {
        return counter > 2.0 && counter < 2.25 ? 0.4 * (counter - 1.97) : 0.0;
    });
    for (WaterLook& look : push.looks) {
        const double counter = kSpeed_m_per_s * look.time_s;
        if (counter < 2.6 || counter > 3.2) continue;
        look.pipe = false;
        look.veiled = true;
        look.flows.clear();
    }
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    EXPECT_TRUE(push.track.water->stretches.front().deepest_unseen);
    EXPECT_NEAR(push.track.water->stretches.front().to, 3.28, 0.15);
}

// Between two shores that are well seen the depth is guessed where neither stands out.
TEST(WaterLog, TellsNoDeepestPlaceWhereItsShoresHardlyStandOut) {
    Push push;
    push.travel(0.0, 6.0, pool);
    Push faint = push;
    for (WaterLook& look : faint.looks) {
        const double counter = kSpeed_m_per_s * look.time_s;
        if (look.shores && std::abs(counter - 2.95) < 0.25) look.shores->weight = 0.3;
    }
    keep_water(push.looks, push.track);
    keep_water(faint.looks, faint.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    ASSERT_EQ(faint.track.water->stretches.size(), 1U);
    EXPECT_FALSE(push.track.water->stretches.front().deepest_unseen);
    EXPECT_TRUE(faint.track.water->stretches.front().deepest_unseen);
    EXPECT_EQ(faint.track.water->stretches.front().from, push.track.water->stretches.front().from);
}

// Seen from hardly above its surface, water mirrors the wall far ahead, and its shores are followed
// too far in.
TEST(WaterLog, TellsNoDeepestPlaceThatIsSeenSoFlatThatItMirrorsTheWall) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) { return 1.9 * pool(counter); });
    Push mirrored = push;
    for (WaterLook& look : mirrored.looks) {
        const double counter = kSpeed_m_per_s * look.time_s;
        if (!look.shores || std::abs(counter - 2.95) > 0.35) continue;
        look.shores->weight = 1.5;
        look.shores->far_over_near = 0.1;
    }
    keep_water(push.looks, push.track);
    keep_water(mirrored.looks, mirrored.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    ASSERT_EQ(mirrored.track.water->stretches.size(), 1U);
    EXPECT_FALSE(push.track.water->stretches.front().deepest_unseen);
    EXPECT_TRUE(mirrored.track.water->stretches.front().deepest_unseen);
}

// Of the findings, those that say so.
long findings_with(const Track& track, std::string_view words) {
    return std::ranges::count_if(track.findings, [&](const Finding& finding) {
        return finding.what.find(words) != std::string::npos;
    });
}

// The depth is worked out from how high the lens rides; what is usual of heads is no measurement.
TEST(WaterLog, TellsNoDepthsWhereHowHighTheLensRidesWasNotSeen) {
    Push push;
    push.travel(0.0, 6.0, pool);
    Push known = push;
    for (WaterLook& look : push.looks) {
        for (FlowLook& flow : look.flows) flow.lens.reset();
    }
    keep_water(push.looks, push.track);
    keep_water(known.looks, known.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    const WaterStretch& stretch = push.track.water->stretches.front();
    EXPECT_TRUE(stretch.depths.empty());
    EXPECT_TRUE(stretch.deepest_unseen);
    EXPECT_NEAR(stretch.from, 2.0, 0.2);
    EXPECT_NEAR(stretch.to, 4.0, 0.2);
    EXPECT_EQ(findings_with(push.track, "How high the camera rides"), 1);
    EXPECT_FALSE(known.track.water->stretches.front().depths.empty());
    EXPECT_EQ(findings_with(known.track, "How high the camera rides"), 0);
}

// Glare hides it from there on: a level surface does not end where it is deepest.
TEST(WaterLog, TellsNeitherEndNorDepthWhereWaterGetsDeeperToTheLastThatWasSeenOfIt) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) { return counter < 2.55 ? pool(counter) : 0.0; });
    for (WaterLook& look : push.looks) {
        const double counter = kSpeed_m_per_s * look.time_s;
        look.pipe = counter < 2.55 || counter > 3.2;
    }
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    const WaterStretch& stretch = push.track.water->stretches.front();
    EXPECT_TRUE(stretch.from_seen);
    EXPECT_FALSE(stretch.to_seen);
    EXPECT_TRUE(stretch.deepest_unseen);
}

TEST(WaterLog, TellsNoDeepestDepthWhereTheTwoWaysShowItUnlikeDeep) {
    Push push;
    push.travel(0.0, 6.0, pool);
    Push alike = push;
    push.travel(6.0, 0.0, [](double counter) { return 1.6 * pool(counter); });
    alike.travel(6.0, 0.0, [](double counter) { return 1.1 * pool(counter); });
    keep_water(push.looks, push.track);
    keep_water(alike.looks, alike.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    ASSERT_EQ(alike.track.water->stretches.size(), 1U);
    EXPECT_TRUE(push.track.water->stretches.front().deepest_unseen);
    EXPECT_EQ(findings_with(push.track, "the other, so its deepest depth was not told"), 1);
    EXPECT_FALSE(alike.track.water->stretches.front().deepest_unseen);
}

// As shallow as a film, and with no fall from one end to the other; but it rises in the middle.
TEST(WaterLog, DoesNotTakeAShallowPoolForAFilm) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) {
        const double off_m = std::abs(counter - 3.0);
        return off_m < 0.5 ? 0.09 - 0.1 * off_m : 0.0;
    });
    keep_water(push.looks, push.track);
    EXPECT_EQ(push.track.water->stretches.size(), 1U);
}

// Nothing shallower than 0.05 of the diameter is seen: 0.25 m at either end. The lens looks 0.08 m
// ahead.
TEST(WaterLog, PutsAnEndWhereTheLevelComesDownToTheInvert) {
    Push push;
    push.travel(0.0, 6.0,
                [](double counter) { return pool(counter) < 0.05 ? 0.0 : pool(counter); });
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    const WaterStretch& stretch = push.track.water->stretches.front();
    EXPECT_NEAR(stretch.from, 2.08, 0.1);
    EXPECT_NEAR(stretch.to, 4.08, 0.1);
}

TEST(WaterLog, SaysNothingOfATrickleOfEvenDepth) {
    Push push;
    push.travel(0.0, 6.0, [](double counter) { return 0.05 + 0.01 * std::sin(3.0 * counter); });
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
}

TEST(WaterLog, ClaimsNothingWherePushingAndRetrievingDisagree) {
    Push push;
    push.travel(0.0, 6.0, pool);
    push.travel(6.0, 0.0, [](double) { return 0.0; });
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
    EXPECT_THAT(push.track.findings, testing::Contains(testing::Field(
                                         &Finding::what, testing::HasSubstr("Nothing was"))));
}

TEST(WaterLog, TakesWhatBothWaysShow) {
    Push push;
    push.travel(0.0, 6.0, pool);
    push.travel(6.0, 0.0, pool);
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    EXPECT_TRUE(push.track.water->stretches.front().pushing);
    EXPECT_TRUE(push.track.water->stretches.front().retrieving);
}

TEST(WaterLog, SaysWhereWaterWasSeenOneWayOnly) {
    Push push;
    push.travel(0.0, 6.0, pool);
    keep_water(push.looks, push.track);
    EXPECT_FALSE(push.track.water->stretches.front().retrieving);
    EXPECT_THAT(push.track.findings,
                testing::Contains(testing::Field(&Finding::what, testing::HasSubstr("pushed in"))));
}

TEST(WaterLog, SaysThatTheWaterReachesBackWhereNoShoreWasSeen) {
    Push push;
    push.travel(0.0, 3.0, pool);
    keep_water(push.looks, push.track);
    ASSERT_EQ(push.track.water->stretches.size(), 1U);
    EXPECT_TRUE(push.track.water->stretches.front().from_seen);
    EXPECT_FALSE(push.track.water->stretches.front().to_seen);
}

TEST(WaterLog, DoesNotTakeAStainForWater) {
    Push push;
    push.travel(0.0, 6.0, pool);
    for (WaterLook& look : push.looks) {
        if (look.shores) look.shores->far_over_near = 1.0;
    }
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
}

TEST(WaterLog, ClaimsNothingOfAPictureThatStandsStillWhileTheCounterRuns) {
    Push push;
    push.travel(0.0, 6.0, pool);
    for (WaterLook& look : push.looks) look.flows.clear();
    keep_water(push.looks, push.track);
    EXPECT_TRUE(push.track.water->stretches.empty());
}

TEST(WaterLog, HasNoPlaceForWaterWithoutACounter) {
    Push push;
    push.travel(0.0, 6.0, pool);
    push.track.format.reset();
    keep_water(push.looks, push.track);
    EXPECT_FALSE(push.track.water);
}

}  // namespace
}  // namespace sondeline
