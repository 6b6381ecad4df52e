#include "alignment/clock_difference.hpp"

#include <gtest/gtest.h>

#include "clocked_jobs.hpp"

namespace sondeline::made {
namespace {

using alignment::clock_difference;
using Verdict = alignment::ClockDifference::Verdict;

TEST(ClockDifference, IsFoundFromFixesTakenAtStops) {
    const SmallSite job = clocked_job({.ahead_s = 40.0, .seen_s = at_stops});
    const auto clocks = clock_difference(job.site, "");
    EXPECT_EQ(clocks.verdict, Verdict::differ);
    EXPECT_NEAR(clocks.ahead_s, 40.0, 6.0);  // every fix still stands at its stop within that
    const Site settled = settle_clocks(job.site);
    for (std::size_t i = 0; i < at_stops.size(); ++i) {
        EXPECT_NEAR(settled.fixes[i].x_m, stop_and_go_m(at_stops[i]), 0.1) << i;
        EXPECT_EQ(settled.fixes[i].placing, FixPlacing::by_clock);
    }
    EXPECT_TRUE(says(settled.findings, "ahead of that of the receiver"));
    EXPECT_EQ(settled.findings.size(), 1U);
}

TEST(ClockDifference, IsFoundForACameraThatIsBehind) {
    const SmallSite job = clocked_job({.ahead_s = -66.0, .seen_s = at_stops});
    const Site settled = settle_clocks(job.site);
    for (std::size_t i = 0; i < at_stops.size(); ++i) {
        EXPECT_NEAR(settled.fixes[i].x_m, stop_and_go_m(at_stops[i]), 0.1) << i;
    }
    EXPECT_TRUE(says(settled.findings, "behind that of the receiver"));
}

TEST(ClockDifference, GivesPlacesToFixesThatHadNoneAndTakesTheirDepthsAlong) {
    // 40 s early the first fix falls before the footage.
    const SmallSite job = clocked_job({.ahead_s = 40.0, .seen_s = at_stops});
    ASSERT_EQ(job.site.fixes[0].placing, FixPlacing::unplaced);
    ASSERT_EQ(job.site.runs[0].vertical.size(), at_stops.size() - 1);
    const Site settled = settle_clocks(job.site);
    EXPECT_EQ(settled.fixes[0].placing, FixPlacing::by_clock);
    const auto& rows = settled.runs[0].vertical;
    ASSERT_EQ(rows.size(), at_stops.size());
    for (const VerticalObservation& row : rows) {
        EXPECT_EQ(row.x_m, settled.fixes[static_cast<std::size_t>(row.fix)].x_m);
    }
}

TEST(ClockDifference, MovesNothingWhereTheClocksAgree) {
    const SmallSite job = clocked_job({.seen_s = at_stops});
    EXPECT_EQ(clock_difference(job.site, "").verdict, Verdict::agree);
    const Site settled = settle_clocks(job.site);
    EXPECT_TRUE(settled.findings.empty());
    for (std::size_t i = 0; i < at_stops.size(); ++i) {
        EXPECT_EQ(settled.fixes[i].x_m, job.site.fixes[i].x_m);
    }
}

TEST(ClockDifference, NeedsFourFixes) {
    const SmallSite job = clocked_job({.ahead_s = 40.0, .seen_s = {52.0, 110.0, 175.0}});
    EXPECT_EQ(clock_difference(job.site, "").verdict, Verdict::too_few);
    EXPECT_EQ(settle_clocks(job.site).fixes[1].x_m, job.site.fixes[1].x_m);
}

// The head went steadily along a straight pipe and nothing says where it began: every difference
// fits, and the clocks are believed.
TEST(ClockDifference, IsNotMadeUpWhereEveryOneFits) {
    const SmallSite job = clocked_job({.at_m = steady_m,
                                       .length_m = 9.5,
                                       .ahead_s = 10.0,
                                       .start_known = false,
                                       .seen_s = {30.0, 45.0, 60.0, 75.0, 90.0}});
    EXPECT_EQ(clock_difference(job.site, "").verdict, Verdict::agree);
}

// On the move the station is no better known than the clocks are.
TEST(ClockDifference, WidensTheStationsOfFixesTakenOnTheMove) {
    const SmallSite job = clocked_job({.at_m = steady_m,
                                       .ahead_s = 50.0,
                                       .fix_sd_m = 0.3,
                                       .seen_s = {60.0, 90.0, 120.0, 150.0, 180.0, 210.0}});
    const auto clocks = clock_difference(job.site, "");
    ASSERT_EQ(clocks.verdict, Verdict::differ);
    EXPECT_NEAR(clocks.ahead_s, 50.0, 3.0 * clocks.sd_s);
    const Site settled = settle_clocks(job.site);
    EXPECT_NEAR(settled.fixes[2].station_sd_m, std::hypot(0.04, 0.1 * clocks.sd_s), 0.02);
    EXPECT_GT(settled.fixes[2].station_sd_m, 0.06);
}

TEST(ClockDifference, ReportsFixesThatFindNoPlace) {
    SmallSite job = clocked_job({.seen_s = {20.0, 52.0, 400.0}});
    const Site settled = settle_clocks(job.site);
    ASSERT_EQ(settled.findings.size(), 1U);
    EXPECT_EQ(settled.findings[0].consequence, Consequence::input_rejected);
    EXPECT_TRUE(says(settled.findings, "Fix F3 has no place along a run"));
}

TEST(ClockDifference, LeavesFixesPlacedByCounterAlone) {
    SmallSite job = clocked_job({.ahead_s = 40.0, .seen_s = at_stops});
    job.fix(0, 4.0, bent.at(4.0), 0.05);
    const Site settled = settle_clocks(job.site);
    EXPECT_EQ(settled.fixes.back().x_m, 4.0);
    EXPECT_EQ(settled.fixes.back().placing, FixPlacing::by_counter);
}

}  // namespace
}  // namespace sondeline::made
