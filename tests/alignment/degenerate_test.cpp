#include <limits>

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::made {
namespace {

const Legs northward({0.0, 0.0}, {{0.0, 0.0}});

SmallSite from_tank(std::optional<double> length_m) {
    SmallSite job;
    job.run("L1", job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0}), std::nullopt,
            length_m);
    return job;
}

SmallSite from_nowhere(std::optional<double> length_m) {
    SmallSite job;
    job.run("L1", std::nullopt, std::nullopt, length_m);
    return job;
}

TEST(Degenerate, NothingAtAllGivesNothing) {
    const Lines lines = align_site(Site{});
    EXPECT_TRUE(lines.runs.empty());
    EXPECT_TRUE(lines.findings.empty());
}

TEST(Degenerate, NoFixGivesALengthOnly) {
    const Lines lines = align_site(from_tank(20.0).site);
    const AlignedRun& run = lines.runs[0];
    EXPECT_EQ(run.placement, Placement::unplaced);
    EXPECT_TRUE(run.points.empty());
    EXPECT_EQ(run.covariance.size(), 0);
    ASSERT_TRUE(run.length_m);
    EXPECT_NEAR(run.length_m->value, 20.0, 1e-9);
    // Reel 1.5 % and the run's own 1.0 %, and the counter's last digit.
    const double sd =
        std::sqrt(20.0 * 20.0 * (0.015 * 0.015 + 0.010 * 0.010) + 0.03048 * 0.03048 / 12.0);
    EXPECT_NEAR(run.length_m->hi95 - run.length_m->value, 1.959964 * sd, 1e-6);
    EXPECT_TRUE(says(lines.findings, "No fix was taken"));
    EXPECT_FALSE(run.quality.empty());
}

TEST(Degenerate, AnAssumedStartAddsFiveCentimetres) {
    SmallSite job = from_tank(20.0);
    const double before = align_site(job.site).runs[0].length_sd_m;
    job.site.runs[0].start_assumed = true;
    const double after = align_site(job.site).runs[0].length_sd_m;
    EXPECT_NEAR(after * after - before * before, 0.05 * 0.05, 1e-9);
}

TEST(Degenerate, BoundsOfALengthReachTheOtherStartThatTheRunMayHave) {
    SmallSite job = from_tank(20.0);
    job.site.runs[0].start_assumed = true;
    job.site.runs[0].start_doubt_m = 0.7;
    const AlignedRun run = align_site(job.site).runs[0];
    EXPECT_LT(run.length_m->lo95, 20.0 - 0.7);
}

TEST(Degenerate, NoLengthAndNoFixIsSaid) {
    const Lines lines = align_site(from_tank(std::nullopt).site);
    EXPECT_FALSE(lines.runs[0].length_m);
    EXPECT_EQ(lines.runs[0].length_m.withheld.reason, "No counter was read.");
    EXPECT_TRUE(lines.runs[0].points.empty());
}

TEST(Degenerate, FixesWithoutALengthAreDrawnToTheLastFix) {
    SmallSite job = from_tank(std::nullopt);
    job.fixes_along(0, northward, {2.0, 5.0, 8.0});
    const Lines lines = align_site(job.site);
    EXPECT_FALSE(lines.runs[0].length_m);
    ASSERT_EQ(lines.runs[0].placement, Placement::placed);
    EXPECT_NEAR(lines.runs[0].points.back().x_m, 8.0, 1e-9);
    EXPECT_TRUE(says(lines.findings, "drawn to its last fix only"));
}

TEST(Degenerate, OneFixWithoutAStartIsNoLine) {
    SmallSite job = from_nowhere(20.0);
    job.fix(0, 6.0, PlanPoint{3.0, 4.0});
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(lines.runs[0].points.empty());
    ASSERT_TRUE(lines.runs[0].length_m);
    EXPECT_GT(lines.runs[0].length_sd_m, 0.015 * 20.0);
    EXPECT_TRUE(says(lines.findings, "direction is not known"));
}

TEST(Degenerate, OneFixAndASurveyedStartAreNotEnoughForALongTail) {
    SmallSite job = from_tank(40.0);
    job.fix(0, 5.0, PlanPoint{0.0, 5.0});
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(lines.runs[0].points.empty());
    EXPECT_TRUE(says(lines.findings, "more than 2 m"));
}

TEST(Degenerate, OneFixNearTheEndAndASurveyedStartGiveALine) {
    SmallSite job = from_tank(6.0);
    job.fix(0, 5.5, PlanPoint{0.0, 5.5});
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].placement, Placement::placed);
    EXPECT_GE(lines.runs[0].length_sd_m, 0.010 * 6.0);
}

TEST(Degenerate, AllFixesAtOneStationAreNoLine) {
    SmallSite job = from_nowhere(20.0);
    job.fix(0, 6.0, PlanPoint{3.0, 4.0});
    job.fix(0, 6.0, PlanPoint{3.02, 4.01});
    job.fix(0, 6.0, PlanPoint{2.99, 4.03});
    const Lines lines = align_site(job.site);
    EXPECT_TRUE(lines.runs[0].points.empty());
    EXPECT_TRUE(says(lines.findings, "at one place"));
}

TEST(Degenerate, TwoFixesWithoutAStartAreDrawnWithTheirOwnDirection) {
    SmallSite job = from_nowhere(8.0);
    job.fixes_along(0, northward, {1.0, 7.0});
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].placement, Placement::direction_from_fixes);
    EXPECT_NEAR(lines.runs[0].points.back().at.n_m, 8.0, 0.2);
    EXPECT_TRUE(says(lines.findings, "order of its fixes"));
}

TEST(Degenerate, HeadingsAloneGiveShapeWithoutPlace) {
    SmallSite job = from_nowhere(12.0);
    for (const double x : {2.0, 5.0, 8.0, 11.0}) {
        job.fix(0, x, std::nullopt);
        job.heading(40.0 * deg);
    }
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].placement, Placement::shape_only);
    EXPECT_TRUE(lines.runs[0].points.empty());
    EXPECT_TRUE(lines.runs[0].length_m);
}

TEST(Degenerate, HeadingsFromAKnownStartDoNotTellTheWay) {
    SmallSite job = from_tank(12.0);
    for (const double x : {2.0, 5.0, 8.0, 11.0}) {
        job.fix(0, x, std::nullopt);
        job.heading(40.0 * deg);
    }
    EXPECT_EQ(align_site(job.site).runs[0].placement, Placement::shape_only);
    job.site.runs[0].start_heading = DirectedHeading{220.0 * deg};
    job.site.runs[0].start_heading_sd_rad = 5.0 * deg;
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].placement, Placement::placed) << lines.runs[0].quality;
    EXPECT_LT(lines.runs[0].points.back().at.n_m, -8.0);
}

TEST(Degenerate, ARunBetweenKnownStructuresWithoutFixesIsInferred) {
    SmallSite job = from_tank(12.5);
    job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 12.0});
    job.site.runs[0].to = 1;
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].placement, Placement::inferred);
    EXPECT_EQ(lines.runs[0].covariance.size(), 0);
    EXPECT_NEAR(lines.runs[0].plan_length_m, 12.0, 0.01);
    EXPECT_NEAR(lines.runs[0].length_m->value, 12.5, 1e-9);
    EXPECT_NEAR(lines.runs[0].points.back().at.n_m, 12.0, 0.01);
    EXPECT_TRUE(says(lines.findings, "without bounds"));
}

TEST(Degenerate, StructuresFurtherApartThanTheCounterAreReported) {
    SmallSite job = from_tank(8.0);
    job.structure("box", StructureKind::distribution_box, PlanPoint{0.0, 12.0});
    job.site.runs[0].to = 1;
    EXPECT_TRUE(says(align_site(job.site).findings, "counter gives only"));
}

TEST(Degenerate, FixesJustOutsideTheRunAreKeptAndFarOnesAreNot) {
    SmallSite job = from_tank(10.0);
    job.fixes_along(0, northward, {3.0, 7.0});
    job.fix(0, 10.4, PlanPoint{0.0, 10.4});
    job.fix(0, 11.0, PlanPoint{0.0, 11.0});
    job.fix(0, -0.6, PlanPoint{0.0, -0.6});
    job.fix(0, -1.5, PlanPoint{0.0, -1.5});
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[2].use, FixUse::used);
    EXPECT_EQ(lines.fixes[3].use, FixUse::rejected);
    EXPECT_EQ(lines.fixes[4].use, FixUse::used);
    EXPECT_EQ(lines.fixes[5].use, FixUse::rejected);
    EXPECT_FALSE(lines.fixes[3].why.empty());
}

TEST(Degenerate, TheOrderOfRowsDoesNotMatter) {
    SmallSite job = from_tank(10.0);
    job.fixes_along(0, northward, {2.0, 5.0, 9.0});
    SmallSite reversed = from_tank(10.0);
    reversed.fixes_along(0, northward, {9.0, 5.0, 2.0});
    const Lines a = align_site(job.site);
    const Lines b = align_site(reversed.site);
    ASSERT_EQ(a.runs[0].points.size(), b.runs[0].points.size());
    EXPECT_EQ(a.runs[0].points.back().at.n_m, b.runs[0].points.back().at.n_m);
}

TEST(Degenerate, ARepeatedFixIsCountedOnce) {
    SmallSite job = from_tank(10.0);
    job.fixes_along(0, northward, {2.0, 5.0, 9.0});
    const double before = align_site(job.site).runs[0].points.back().cov.ee;
    job.fix(0, 9.0, northward.at(9.0));
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].points.back().cov.ee, before);
    EXPECT_EQ(lines.fixes[3].use, FixUse::used);
    EXPECT_TRUE(says(lines.findings, "counted once"));
}

TEST(Degenerate, UnusableAccuraciesTakeTheDefaultAndAreReported) {
    for (const double sd : {0.0, -1.0, std::numeric_limits<double>::quiet_NaN()}) {
        SmallSite job = from_tank(10.0);
        job.fixes_along(0, northward, {2.0, 5.0, 9.0});
        job.site.fixes[1].position->cov = {sd, 0.0, sd};
        const Lines lines = align_site(job.site);
        EXPECT_EQ(lines.runs[0].placement, Placement::placed);
        EXPECT_TRUE(says(lines.findings, "no usable accuracy"));
    }
}

TEST(Degenerate, AnUnplacedFixKeepsItsReason) {
    SmallSite job = from_tank(10.0);
    job.fix(0, 0.0, PlanPoint{0.0, 1.0});
    job.site.fixes[0].placing = FixPlacing::unplaced;
    job.site.fixes[0].why_unplaced = "No hold matches it.";
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.fixes[0].use, FixUse::unplaced);
    EXPECT_EQ(lines.fixes[0].why, "No hold matches it.");
}

TEST(Degenerate, ARunToItsOwnStartAndAnAbsurdLengthDoNoHarm) {
    SmallSite job = from_tank(1e9);
    job.site.runs[0].to = 0;
    job.fixes_along(0, northward, {2.0, 5.0, 9.0});
    const Lines lines = align_site(job.site);
    EXPECT_FALSE(lines.runs[0].length_m);
    EXPECT_LT(lines.runs[0].points.size(), 100u);
}

TEST(Degenerate, VeryShortRunsAreAligned) {
    for (const double length : {0.06, 0.3, 0.6, 1.2}) {
        SmallSite job = from_tank(length);
        job.fix(0, 0.5 * length, northward.at(0.5 * length));
        job.fix(0, length, northward.at(length));
        const Lines lines = align_site(job.site);
        ASSERT_TRUE(lines.runs[0].length_m);
        EXPECT_NEAR(lines.runs[0].length_m->value, length, 0.05);
    }
}

TEST(Degenerate, AnIslandOfHeadingsHasNoPlace) {
    SmallSite job;
    const int a = job.structure("A", StructureKind::junction, std::nullopt);
    const int b = job.structure("B", StructureKind::junction, std::nullopt);
    job.run("S1", a, b, 10.0);
    job.fix(0, 5.0, std::nullopt);
    job.heading(10.0 * deg);
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].placement, Placement::shape_only);
    EXPECT_FALSE(lines.structures[0].plan);
    EXPECT_EQ(lines.structures[1].how_fixed, "not known");
}

TEST(Degenerate, VerticalRowsGetTheirAdjustedStation) {
    SmallSite job = from_tank(10.0);
    job.fixes_along(0, northward, {2.0, 5.0, 9.0});
    VerticalObservation row;
    row.x_m = 4.0;
    row.depth_m = {0.6, 0.05};
    job.site.runs[0].vertical = {row};
    const Lines lines = align_site(job.site);
    ASSERT_EQ(lines.runs[0].vertical.size(), 1u);
    EXPECT_NEAR(lines.runs[0].vertical[0].station_m, station_of_x(lines.runs[0], 4.0), 1e-12);
    EXPECT_NEAR(lines.runs[0].vertical[0].station_m, 4.0, 0.1);
}

}  // namespace
}  // namespace sondeline::made
