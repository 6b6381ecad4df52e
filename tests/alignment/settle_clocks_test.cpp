#include <gtest/gtest.h>

#include "clocked_jobs.hpp"

namespace sondeline::made {
namespace {

double furthest_off_m(const Site& site, std::size_t first) {
    double most = 0.0;
    for (std::size_t i = 0; i < at_stops.size(); ++i) {
        most = std::max(most, std::abs(site.fixes[first + i].x_m - stop_and_go_m(at_stops[i])));
    }
    return most;
}

TEST(SettleClocks, TellsEveryCameraItsOwnDifference) {
    SmallSite job;
    push_along({.ahead_s = 40.0, .reel = "A", .seen_s = at_stops}, "L1", job);
    push_along({.ahead_s = -66.0, .reel = "B", .seen_s = at_stops}, "L2", job);
    ASSERT_GT(furthest_off_m(job.site, 0), 1.0);
    const Site settled = settle_clocks(job.site);
    EXPECT_LT(furthest_off_m(settled, 0), 0.1);
    EXPECT_LT(furthest_off_m(settled, at_stops.size()), 0.1);
    EXPECT_TRUE(says(settled.findings, "The clock of the camera on reel A is"));
    EXPECT_TRUE(says(settled.findings, "The clock of the camera on reel B is"));
    EXPECT_EQ(settled.findings.size(), 2U);
}

TEST(SettleClocks, LeavesACameraThatKeepsTimeBesideOneThatDoesNot) {
    SmallSite job;
    push_along({.ahead_s = 40.0, .reel = "A", .seen_s = at_stops}, "L1", job);
    push_along({.reel = "B", .seen_s = at_stops}, "L2", job);
    const Site settled = settle_clocks(job.site);
    EXPECT_LT(furthest_off_m(settled, 0), 0.1);
    for (std::size_t i = at_stops.size(); i < job.site.fixes.size(); ++i) {
        EXPECT_EQ(settled.fixes[i].x_m, job.site.fixes[i].x_m) << i;
    }
    EXPECT_EQ(settled.findings.size(), 1U);
}

TEST(SettleClocks, SaysWhereAnotherCameraHasTooFewFixesToTell) {
    SmallSite job;
    push_along({.ahead_s = 40.0, .reel = "A", .seen_s = at_stops}, "L1", job);
    push_along({.reel = "", .seen_s = {52.0, 110.0}}, "L2", job);
    const Site settled = settle_clocks(job.site);
    EXPECT_TRUE(says(settled.findings, "the camera on the reel without a name is off as well"));
    EXPECT_TRUE(says(settled.findings, "cannot be told from 2 fixes, left where"));
    EXPECT_EQ(settled.fixes.back().x_m, job.site.fixes.back().x_m);
}

TEST(SettleClocks, NamesNoReelWhereThereIsOne) {
    const SmallSite job = clocked_job({.ahead_s = 40.0, .reel = "A", .seen_s = at_stops});
    const Site settled = settle_clocks(job.site);
    ASSERT_EQ(settled.findings.size(), 1U);
    EXPECT_TRUE(says(settled.findings, "The clock of the camera is "));
    EXPECT_EQ(settled.findings[0].severity, Severity::caution);
}

TEST(SettleClocks, HaveNothingToDoWithFixesOfNoKnownRun) {
    SmallSite job = clocked_job({.seen_s = at_stops});
    SiteFix& lost = job.site.fixes[2];
    lost.run = -1;
    lost.placing = FixPlacing::unplaced;
    const Site settled = settle_clocks(job.site);
    EXPECT_EQ(settled.fixes[2].placing, FixPlacing::unplaced);
    EXPECT_TRUE(settled.findings.empty());
}

TEST(SettleClocks, TakeTheDepthsOfFixesThatLoseTheirPlaceOffTheRun) {
    // With the camera 66 s ahead, the last fix was counted where the footage had not yet ended,
    // but belongs beyond its end.
    std::vector<double> seen = at_stops;
    seen.push_back(300.0);
    const SmallSite job = clocked_job({.ahead_s = 66.0, .seen_s = seen});
    ASSERT_EQ(job.site.fixes.back().placing, FixPlacing::by_clock);
    const Site settled = settle_clocks(job.site);
    EXPECT_EQ(settled.fixes.back().placing, FixPlacing::unplaced);
    for (const VerticalObservation& row : settled.runs[0].vertical) {
        EXPECT_NE(row.fix, static_cast<int>(seen.size()) - 1);
    }
    EXPECT_TRUE(says(settled.findings, "has no place along a run: no counter was read at its"));
}

}  // namespace
}  // namespace sondeline::made
