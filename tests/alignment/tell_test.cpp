#include "alignment/tell.hpp"

#include <gtest/gtest.h>

#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

using made::says;
using made::SmallSite;

// A run with one fix, and what became of that.
struct Judged {
    SmallSite job;
    Lines lines;

    Judged() {
        job.site.job_unit = LengthUnit::metre;
        const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
        AlignedRun run;
        run.run = job.run("L1", tank, std::nullopt, 20.0);
        run.placement = Placement::placed;
        lines.runs = {run};
        job.fix(0, 10.0, PlanPoint{0.0, 10.0});
        lines.fixes.resize(1);
        lines.fixes[0].use = FixUse::used;
    }

    Findings of_fixes() const {
        Findings findings;
        tell_fixes(job.site, lines, findings);
        return findings;
    }
    Findings of_placement() const {
        Findings findings;
        tell_placement(job.site, lines, findings);
        return findings;
    }
};

TEST(TellFixes, SaysNothingOfAFixThatFits) {
    EXPECT_TRUE(Judged().of_fixes().empty());
}

TEST(TellFixes, SaysWhatWasUsedOfAFixWhosePositionWasNot) {
    Judged judged;
    FixResult& result = judged.lines.fixes[0];
    result.use = FixUse::rejected;
    result.across_m = 1.6;
    result.heading_rad = 0.01;
    result.station_m = 10.0;
    judged.job.site.fixes[0].depth_m = Estimate{0.8, 0.05};
    const Findings findings = judged.of_fixes();
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_EQ(findings[0].where.row, 2);
    EXPECT_EQ(findings[0].where.run, "L1");
    EXPECT_EQ(findings[0].where.station_m, 10.0);
    EXPECT_TRUE(says(findings, "Its heading fits the line and was used."));
    EXPECT_TRUE(says(findings, "Its depth was used"));
    result.heading_rejected = true;
    result.of_another_run = true;
    EXPECT_TRUE(says(judged.of_fixes(), "Its heading was not used either."));
    EXPECT_TRUE(says(judged.of_fixes(), "would be that of another run and was not used"));
}

TEST(TellFixes, TellsAHeadingOffTheLineInDegrees) {
    Judged judged;
    judged.lines.fixes[0].heading_rejected = true;
    judged.lines.fixes[0].heading_rad = -35.0 * degree;
    EXPECT_TRUE(says(judged.of_fixes(), "The heading of fix F1 is 35° off the line"));
}

TEST(TellAccuracies, WarnsOfFourFixesThatScatterMoreThanStatedButNotOfThree) {
    AccuracyGroup group;
    group.stated_m = 0.05;
    group.variance_factor = 9.0;
    group.scatter = 3.0;
    group.fixes = 3;
    Findings findings;
    const Site site = SmallSite().site;
    tell_accuracies(site, {group}, findings);
    EXPECT_TRUE(findings.empty());
    group.fixes = 4;
    tell_accuracies(site, {group}, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_TRUE(says(findings, "scatter 3.0 times as much"));
}

TEST(TellAccuracies, TellsOfFixesBetterThanStatedOnlyByTheWay) {
    AccuracyGroup group;
    group.variance_factor = 0.25;
    group.scatter = 0.5;
    group.fixes = 10;
    Findings findings;
    tell_accuracies(SmallSite().site, {group}, findings);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::info);
}

TEST(TellPlacement, GivesTheReasonWhyARunIsNotOnTheMap) {
    Judged judged;
    EXPECT_TRUE(judged.of_placement().empty());
    judged.lines.runs[0].placement = Placement::unplaced;
    judged.lines.runs[0].why_not_placed = {"No fix was taken.", "Take two."};
    const Findings findings = judged.of_placement();
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.run, "L1");
    EXPECT_EQ(findings[0].what, "This run is not on the map. No fix was taken.");
    EXPECT_EQ(findings[0].what_to_do, "Take two.");
}

TEST(TellPlacement, SaysThatNoFixWasTakenOnlyWhereNoneWas) {
    SmallSite job;
    job.run("L1", std::nullopt, std::nullopt, 20.0);
    job.run("L2", std::nullopt, std::nullopt, 20.0);
    job.fix(0, 5.0, std::nullopt).placing = FixPlacing::unplaced;
    EXPECT_EQ(no_fix_words(job.site, {"L1"}), "None of the fixes of this run tells where it lies");
    EXPECT_EQ(no_fix_words(job.site, {"L2"}), "No fix was taken on this run");
    const Lines lines = align_site(job.site);
    EXPECT_EQ(lines.runs[0].why_not_placed.reason,
              "None of the fixes of this run tells where it lies.");
}

TEST(TellPlacement, WarnsOfEndStructuresFurtherApartThanTheCounterGives) {
    Judged judged;
    AlignedRun& run = judged.lines.runs[0];
    run.placement = Placement::inferred;
    run.plan_length_m = 25.0;
    run.length_m = figure(Bounded{20.0, 19.0, 21.0});
    EXPECT_TRUE(says(judged.of_placement(), "25.00 m apart, but its counter gives only"));
    run.plan_length_m = 20.5;
    EXPECT_FALSE(says(judged.of_placement(), "apart, but its counter"));
}

// A run from a tank that fits, with its state changed by hand.
template <class Change>
Findings of_changed_run(Change change) {
    SmallSite job;
    job.site.job_unit = LengthUnit::metre;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.run("L1", tank, std::nullopt, 20.0);
    job.fixes_along(0, made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 8.0, 14.0, 19.5});
    const NetworkData data = observed_on(job.site);
    Network network = adjust_network(data);
    change(network.state.runs.at(0));
    Findings findings;
    tell_misclosures(job.site, data, network, findings);
    return findings;
}

TEST(TellMisclosures, SaysNothingOfARunThatFits) {
    EXPECT_TRUE(of_changed_run([](RunModel&) {}).empty());
}

// A scale is the logarithm of a ratio: e^0.05 = 1.051.
TEST(TellMisclosures, SaysWhereThePositionsStretchARunAgainstItsCounter) {
    EXPECT_TRUE(says(of_changed_run([](RunModel& run) { run.own_scale = 0.05; }),
                     "make this run 5.1 % longer than its counter"));
    EXPECT_TRUE(says(of_changed_run([](RunModel& run) { run.own_scale = -0.05; }),
                     "make this run 4.9 % shorter than its counter"));
}

TEST(TellMisclosures, SaysHowFarARunStartsFromItsStructure) {
    const Findings findings =
        of_changed_run([](RunModel& run) { run.port_m = Eigen::Vector2d(0.9, 1.2); });
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].where.run, "L1");
    EXPECT_TRUE(says(findings, "The start of this run lies 1.50 m from tank"));
}

TEST(TellReceivers, WarnsThatTheWholeMapMayLieOffWithTheOnlyReceiver) {
    NetworkData data;
    data.common_offset_m = 1.0;
    Findings findings;
    Site site;
    site.job_unit = LengthUnit::metre;
    tell_receivers(site, data, Network{}, Eigen::MatrixXd(), findings);
    ASSERT_EQ(findings.size(), 1U);
    // √(−2 ln 0.05) = 2.4477 standard deviations hold 95 % of a circular normal distribution.
    EXPECT_TRUE(says(findings, "may lie 2.45 m off"));
}

TEST(TellPlacement, SaysHowFarAPushWentThatStoppedShort) {
    Judged judged;
    judged.lines.runs[0].length_m = figure(Bounded{12.0, 11.9, 12.1});
    EXPECT_TRUE(judged.of_placement().empty());
    judged.lines.runs[0].run.status = RunStatus::broken;
    EXPECT_TRUE(says(judged.of_placement(), "the push stopped 12.00 m from the start."));
    judged.lines.runs[0].run.to = 0;
    EXPECT_TRUE(says(judged.of_placement(), "12.00 m from the start, short of tank."));
    judged.lines.runs[0].length_m = withheld<Bounded>("No counter was read.", "Film it.");
    EXPECT_FALSE(says(judged.of_placement(), "the push stopped"));
}

// The pipe of 17 m leads to the box, which is not named; another of 12 m ends 5 m before it.
TEST(UnnamedEnds, AreToldWhereARunEndsAtAStructure) {
    for (const double length_m : {17.0, 12.0}) {
        made::SmallSite job;
        const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
        job.structure("box", StructureKind::distribution_box, PlanPoint{0.1, 17.0});
        job.run("EL", tank, std::nullopt, length_m);
        const double last_m = length_m - 0.5;
        job.fixes_along(0, made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 6.0, 10.0, last_m});
        const Lines lines = align_site(job.site);
        EXPECT_EQ(made::says(lines.findings, "from box, but nothing is written under to"),
                  length_m > 15.0);
    }
}

// The pipe of 17 m from a tank to where a box lies, which is not named.
made::SmallSite line_to_unnamed_box() {
    made::SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    job.structure("box", StructureKind::distribution_box, PlanPoint{0.1, 17.0});
    job.run("EL", tank, std::nullopt, 17.0);
    job.fixes_along(0, made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 6.0, 10.0, 16.5});
    return job;
}

bool tells_unnamed(const Site& site) {
    return made::says(align_site(site).findings, "nothing is written under to");
}

TEST(UnnamedEnds, AreNotToldOfAMarkACapOrAnEndThatIsNamed) {
    ASSERT_TRUE(tells_unnamed(line_to_unnamed_box().site));
    made::SmallSite at_mark = line_to_unnamed_box();
    at_mark.site.structures[1].kind = StructureKind::reference;
    EXPECT_FALSE(tells_unnamed(at_mark.site));
    made::SmallSite capped = line_to_unnamed_box();
    capped.site.runs[0].status = RunStatus::capped;
    EXPECT_FALSE(tells_unnamed(capped.site));
    made::SmallSite named = line_to_unnamed_box();
    named.site.runs[0].to = 1;
    EXPECT_FALSE(tells_unnamed(named.site));
}

}  // namespace
}  // namespace sondeline::alignment
