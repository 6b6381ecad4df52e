#include "grade/settle_flows.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// Pipes of 24 m joined end to end at manholes, each pushed from one manhole to the next; their
// falls along the push in order.
Lines sewers(const std::vector<double>& slopes, StructureKind kind = StructureKind::junction) {
    Lines lines;
    for (std::size_t i = 0; i <= slopes.size(); ++i) {
        AlignedStructure structure;
        structure.kind = kind;
        structure.id.text = "M" + std::to_string(i + 1);
        lines.structures.push_back(structure);
    }
    for (std::size_t i = 0; i < slopes.size(); ++i) {
        made::Pipe pipe;
        pipe.slope = slopes[i];
        made::Run made = made::make_run(pipe, made::locator_and_tapes(), static_cast<int>(i) + 1);
        AlignedRun run = made::run_of(made.lines);
        run.run.id.text = "S" + std::to_string(i + 1);
        run.run.from = static_cast<int>(i);
        run.run.to = static_cast<int>(i) + 1;
        lines.runs.push_back(run);
    }
    return lines;
}

bool is_problem(const Profiles& profiles, const std::string& words) {
    return std::ranges::any_of(profiles.findings, [&](const Finding& finding) {
        return finding.severity == Severity::problem &&
               finding.what.find(words) != std::string::npos;
    });
}

TEST(SettleFlows, OfASewerThatClimbsFromWhereAnotherEndsIsAProblemWithoutAVerdict) {
    const Profiles profiles = grade_lines(sewers({0.0125, -0.0125}), made::levelled());
    const GradedRun& climbs = profiles.runs[1];
    EXPECT_TRUE(is_problem(profiles, "S1 brings its water to M2 as well"));
    EXPECT_NEAR(climbs.slope->value, -0.0125, 0.003);
    EXPECT_NEAR(climbs.fall_m->value, climbs.start_invert_m->value - climbs.end_invert_m->value,
                0.02);
    EXPECT_EQ(climbs.stretches.front().verdict, SlopeVerdict::cannot_tell);
    EXPECT_TRUE(climbs.bellies.empty());
    EXPECT_EQ(profiles.runs[0].stretches.front().verdict, SlopeVerdict::meets);
}

TEST(SettleFlows, OfASewerPushedUphillIsTheWayItFallsWhereAnotherTakesItsWater) {
    const Profiles below = grade_lines(sewers({0.03, 0.03}), made::levelled());
    Lines lines = sewers({-0.03, 0.03});
    lines.runs[0].run.from = 1;
    lines.runs[0].run.to = 0;
    const Profiles profiles = grade_lines(lines, made::levelled());
    EXPECT_NEAR(profiles.runs[0].slope->value, 0.03, 0.003);
    EXPECT_FALSE(profiles.runs[0].flow_with_push);
    EXPECT_EQ(profiles.runs[0].stretches.front().verdict, SlopeVerdict::meets);
    EXPECT_FALSE(made::any_finding(profiles, "climbs by"));
    EXPECT_FALSE(made::any_finding(below, "climbs by"));
}

TEST(SettleFlows, OfAClimbingSewerAloneIsLeftOpenAndBothReadingsAreTold) {
    const Profiles profiles = grade_lines(sewers({-0.0125}), made::levelled());
    EXPECT_TRUE(made::any_finding(profiles, "Either the water runs from M2 to M1"));
    EXPECT_FALSE(is_problem(profiles, "climbs by"));
    EXPECT_EQ(profiles.runs[0].stretches.front().verdict, SlopeVerdict::cannot_tell);
}

TEST(SettleFlows, LeavesALineWithAnOpenEndToRunTheWayItFalls) {
    Lines lines = sewers({-0.0125});
    lines.runs[0].run.to.reset();
    const Profiles profiles = grade_lines(lines, made::levelled());
    EXPECT_NEAR(profiles.runs[0].slope->value, 0.0125, 0.003);
    EXPECT_FALSE(made::any_finding(profiles, "climbs by"));
}

TEST(SettleFlows, AsksNoSlopeOfAForceMainAndTellsNoBellyInIt) {
    Lines lines = sewers({-0.03}, StructureKind::distribution_box);
    lines.structures[0].kind = StructureKind::pump_chamber;
    lines.runs[0].run.kind = RunKind::effluent_line;
    GradeOptions options = made::levelled();
    options.noted_water = {{0, 2.0, 6.0, {}, "standing water"}};
    const Profiles profiles = grade_lines(lines, options);
    const GradedRun& main = profiles.runs[0];
    EXPECT_NEAR(main.slope->value, -0.03, 0.003);
    EXPECT_EQ(main.stretches.front().verdict, SlopeVerdict::not_asked);
    EXPECT_TRUE(main.bellies.empty());
    EXPECT_TRUE(made::any_finding(profiles, "taken for a force main"));
    EXPECT_FALSE(made::any_finding(profiles, "wrong way"));
    EXPECT_EQ(main.capacity_words, "Capacity not given: a pump drives the water of a force main.");
}

TEST(SettleFlows, AsksALineIntoAPumpChamberToFall) {
    Lines lines = sewers({-0.03}, StructureKind::tank);
    lines.structures[1].kind = StructureKind::pump_chamber;
    lines.runs[0].run.kind = RunKind::effluent_line;
    const Profiles profiles = grade_lines(lines, made::levelled());
    EXPECT_TRUE(made::any_finding(profiles, "falls the wrong way"));
    EXPECT_EQ(profiles.runs[0].stretches.front().verdict, SlopeVerdict::below);
}

}  // namespace
}  // namespace sondeline
