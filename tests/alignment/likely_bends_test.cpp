#include <array>

#include <gtest/gtest.h>

#include "made/seen_turns.hpp"
#include "small_sites.hpp"

namespace sondeline::made {
namespace {

constexpr LikelyBend noted_at(double x_m) {
    return {.x_m = x_m, .sd_m = 0.15, .probability = 0.45, .noted = true};
}

constexpr LikelyBend seen_at(double x_m) {
    return {.x_m = x_m, .sd_m = 0.2, .probability = 0.6, .noted = false};
}

// A run that turns by `angle_deg`, its fixes every three metres.
SmallSite turning_job(double at_m, double angle_deg) {
    SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 17.0);
    const Legs legs({0.0, 0.0}, {{0.0, 30.0 * deg}, {at_m, (30.0 + angle_deg) * deg}});
    job.fixes_along(0, legs, {1.0, 4.0, 7.0, 10.0, 13.0, 16.0});
    return job;
}

// The one bend of a run that turns by 22.5° at 8.4 m, with this place 0.1 m beyond it.
Bend bend_beside(const LikelyBend& likely) {
    SmallSite job = turning_job(8.4, 22.5);
    job.site.runs[0].likely_bends = {likely};
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].bends.size(), 1u);
    return lines.runs[0].bends.empty() ? Bend{} : lines.runs[0].bends[0];
}

TEST(LikelyBends, HoldABendAtTheFittingThatWasNoted) {
    const Bend bend = bend_beside(noted_at(8.5));
    EXPECT_TRUE(bend.noted);
    EXPECT_FALSE(bend.seen_turning);
    EXPECT_NEAR(bend.station_m, 8.45, 0.15);
}

TEST(LikelyBends, SayOfABendThatThePictureTurnsThere) {
    const Bend bend = bend_beside(seen_at(8.5));
    EXPECT_TRUE(bend.seen_turning);
    EXPECT_FALSE(bend.noted);
}

// What the lines of some jobs are off by, and the good positions left out of them.
struct Outcome {
    double squares_m2 = 0.0;
    int left_out = 0;
};

double squares_m2(const AlignedRun& run, const TruePipe& pipe) {
    double squares = 0.0;
    for (const LinePoint& point : run.points) {
        const double off_m = apart_m(point.at, pipe.at(pipe.s_at(point.x_m)));
        squares += off_m * off_m;
    }
    return squares;
}

int good_left_out(const RandomJob& job, const Lines& lines) {
    int left_out = 0;
    for (std::size_t i = 0; i < lines.fixes.size(); ++i) {
        const bool rejected = lines.fixes[i].use == FixUse::rejected;
        left_out += rejected && !job.wrong_fix[i] ? 1 : 0;
    }
    return left_out;
}

// Where the positions leave open whether the pipe bends or one of them is wrong. Of the runs that
// are drawn either way.
TEST(LikelyBends, BringTheLinesNearerToThePipesAndKeepMoreOfTheGoodPositions) {
    Outcome without;
    Outcome with;
    for (std::uint64_t seed = 20001; seed <= 20040; ++seed) {
        const double fix_sd_m = std::array{0.05, 0.15, 0.3}[seed % 3];
        RandomJob job = random_job(seed, {.fix_sd_m = fix_sd_m, .outlier_share = 0.1});
        const Lines bare = align_site(job.site);
        see_turns(job, seed);
        const Lines seen = align_site(job.site);
        for (std::size_t r = 0; r < job.pipes.size(); ++r) {
            if (bare.runs[r].points.empty() || seen.runs[r].points.empty()) continue;
            without.squares_m2 += squares_m2(bare.runs[r], job.pipes[r]);
            with.squares_m2 += squares_m2(seen.runs[r], job.pipes[r]);
        }
        without.left_out += good_left_out(job, bare);
        with.left_out += good_left_out(job, seen);
    }
    EXPECT_LT(with.squares_m2, 0.95 * without.squares_m2);
    EXPECT_LT(with.left_out, without.left_out);
}

TEST(LikelyBends, MakeNoBendOfARunThatThePositionsShowStraight) {
    SmallSite job = turning_job(8.4, 0.0);
    job.site.runs[0].likely_bends = {noted_at(5.0), seen_at(8.5), seen_at(12.0)};
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(lines.runs[0].bends.empty());
    for (const LinePoint& point : lines.runs[0].points) {
        EXPECT_LT(apart_m(point.at, {point.x_m * 0.5, point.x_m * std::sqrt(0.75)}), 0.01);
    }
}

TEST(LikelyBends, DoNotKeepABendFromWhereThePositionsShowIt) {
    SmallSite job = turning_job(8.4, 45.0);
    job.site.runs[0].likely_bends = {seen_at(2.5), seen_at(14.5)};
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].bends.size(), 1u);
    EXPECT_NEAR(lines.runs[0].bends[0].station_m, 8.4, 0.2);
    EXPECT_FALSE(lines.runs[0].bends[0].seen_turning);
}

TEST(LikelyBends, AreLeftOutBeyondTheEndsOfTheirRun) {
    SmallSite job = turning_job(8.4, 45.0);
    const Lines bare = align_site(job.site);
    job.site.runs[0].likely_bends = {seen_at(-2.0), seen_at(0.1), seen_at(16.95), noted_at(40.0)};
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].bends.size(), 1u);
    EXPECT_EQ(lines.runs[0].bends[0].station_m, bare.runs[0].bends[0].station_m);
}

}  // namespace
}  // namespace sondeline::made
