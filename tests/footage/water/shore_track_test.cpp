#include "footage/water/shore_track.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

std::size_t row_at(int row) {
    return static_cast<std::size_t>(wrapped(row));
}

// A wall whose marks step by about 0.05 of the light, anywhere and never twice at one place.
WallProfile marked_wall(std::mt19937& random) {
    std::uniform_real_distribution<float> mark(-0.08F, 0.08F);
    WallProfile profile;
    for (std::size_t i = 0; i < unrolled_directions; ++i) {
        profile.steps.step[i] = mark(random);
        profile.steps.narrow[i] = 0.5F * profile.steps.step[i];
        profile.steps.steady[i] = 0.7F;
        profile.bustle[i] = 0.01F;
    }
    profile.usual_step = 0.06F;
    return profile;
}

// A straight step, as wide as the three directions that are averaged on either side of it.
void add_shore(WallProfile& profile, int row, float step) {
    constexpr std::array kShare{0.33F, 0.67F, 1.0F, 0.67F, 0.33F};
    for (int i = 0; i < 5; ++i) {
        profile.steps.step[row_at(row + i - 2)] = step * kShare.at(static_cast<std::size_t>(i));
        profile.steps.steady[row_at(row + i - 2)] = 1.0F;
    }
    profile.steps.narrow[row_at(row)] = step;
}

std::vector<std::optional<ShorePair>> track(const std::vector<WallProfile>& profiles) {
    std::vector<const WallProfile*> seen;
    seen.reserve(profiles.size());
    for (const WallProfile& profile : profiles) seen.push_back(&profile);
    return track_shores(seen);
}

// Of lines that do not turn.
std::vector<std::optional<ShorePair>> tracked(std::vector<WallProfile> profiles) {
    for (WallProfile& profile : profiles) {
        profile.shores.fill(shore_evidence({}, profile.usual_step));
        profile.shores[no_turn] = shore_evidence(profile.steps, profile.usual_step);
    }
    return track(profiles);
}

constexpr int kLooks = 16;

TEST(ShoreTrack, FindsNoShoresOnAWallWhoseMarksDoNotGoOn) {
    std::mt19937 random(3);
    std::vector<WallProfile> profiles;
    profiles.reserve(kLooks);
    for (int i = 0; i < kLooks; ++i) profiles.push_back(marked_wall(random));
    for (const auto& pair : tracked(profiles)) EXPECT_FALSE(pair);
}

TEST(ShoreTrack, FollowsShoresAsTheWaterRisesAndFalls) {
    std::mt19937 random(4);
    std::vector<WallProfile> profiles;
    profiles.reserve(kLooks);
    for (int i = 0; i < kLooks; ++i) {
        profiles.push_back(marked_wall(random));
        const int half = 6 + std::min(i, kLooks - 1 - i);
        add_shore(profiles.back(), 24 - half, -0.4F);
        add_shore(profiles.back(), 24 + half, 0.4F);
    }
    const auto track = tracked(profiles);
    for (int i = 0; i < kLooks; ++i) {
        const auto& pair = track[static_cast<std::size_t>(i)];
        const int half = 6 + std::min(i, kLooks - 1 - i);
        ASSERT_TRUE(pair) << i;
        EXPECT_NEAR(pair->from, 24 - half, 1) << i;
        EXPECT_NEAR(pair->to, 24 + half, 1) << i;
    }
}

// Glare or roots before one shore: the other one and the looks before and after carry it.
TEST(ShoreTrack, GoesOnWhereOneShoreIsHiddenForALook) {
    std::mt19937 random(5);
    std::vector<WallProfile> profiles;
    profiles.reserve(kLooks);
    for (int i = 0; i < kLooks; ++i) {
        profiles.push_back(marked_wall(random));
        add_shore(profiles.back(), 90, -0.4F);
        if (i != kLooks / 2) add_shore(profiles.back(), 90 + 20, 0.4F);
    }
    const auto track = tracked(profiles);
    const auto& hidden = track[kLooks / 2];
    ASSERT_TRUE(hidden);
    EXPECT_NEAR(hidden->from, 90, 1);
    EXPECT_NEAR(hidden->to, 110, 2);
}

TEST(ShoreTrack, DoesNotTakeOneEdgeForWater) {
    std::mt19937 random(6);
    std::vector<WallProfile> profiles;
    profiles.reserve(kLooks);
    for (int i = 0; i < kLooks; ++i) {
        profiles.push_back(marked_wall(random));
        add_shore(profiles.back(), 40, -0.4F);
    }
    int seen = 0;
    for (const auto& pair : tracked(profiles)) seen += pair && pair->weight > 1.2 ? 1 : 0;
    EXPECT_LT(seen, kLooks / 4);
}

// An even surface within a marked wall. Its edges turn on the way to the vanishing point by so many
// directions each time that 1 / radius grows by that of the radius of shores (0.68 of the
// outermost).
Unrolled surface_between(double begin_turn, double end_turn) {
    constexpr int kColumns = 28;
    std::mt19937 random(7);
    std::uniform_real_distribution<float> mark(0.9F, 1.1F);
    Unrolled wall;
    wall.radius = radii_by_ratio(12.0, 74.0, kColumns);
    wall.known = cv::Mat1b(unrolled_directions, kColumns, uchar{255});
    wall.level = cv::Mat1f(unrolled_directions, kColumns);
    for (int col = 0; col < kColumns; ++col) {
        const double on = 0.68 * 74.0 / wall.radius[static_cast<std::size_t>(col)] - 1.0;
        for (int row = 0; row < unrolled_directions; ++row) {
            const bool surface = row > 14.5 + begin_turn * on && row < 33.5 + end_turn * on;
            wall.level(row, col) =
                std::log(unrolled_black + (surface ? 82.0F : 100.0F * mark(random)));
        }
    }
    return wall;
}

double weight_between(double begin_turn, double end_turn) {
    const WallProfile profile = profile_of(surface_between(begin_turn, end_turn), 0.0F);
    const auto found = track(std::vector<WallProfile>(kLooks, profile));
    const auto& pair = found[kLooks / 2];
    return pair ? pair->weight : 0.0;
}

// Where water gets deeper ahead its shores part on the way to the vanishing point, where it gets
// shallower they meet (a level surface over an invert that falls or rises; perspective).
TEST(ShoreTrack, FollowsShoresThatPartOrMeetOnTheWayToTheVanishingPoint) {
    const double straight = weight_between(0.0, 0.0);
    EXPECT_GT(straight, 3.0);
    EXPECT_GT(weight_between(-7.5, 7.5), straight - 1.0);
    EXPECT_GT(weight_between(7.5, -7.5), 3.0);
}

TEST(ShoreTrack, TakesEdgesThatBothTurnOneWayForNoLevelSurface) {
    for (const double turn : {-7.5, 7.5}) {
        EXPECT_LT(weight_between(turn, turn), weight_between(-turn, turn) - 2.0) << turn;
    }
}

}  // namespace
}  // namespace sondeline
