#include "grade/slope.hpp"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::HasSubstr;
using testing::SizeIs;

constexpr double kFoot_m = 0.3048;

GradedRun graded(const made::Run& run) {
    return grade_lines(run.lines, made::levelled()).runs.front();
}

// Ghilani, Adjustment Computations, error propagation: elevations good to 0.2 ft (0.1 ft) at both
// ends of 40 ft leave the slope unsure by 0.707 % (0.354 %). Numbers recomputed; the third is that
// of tapes good to 5 mm. Bedding is as uneven as that, but the tapes reach the pipe that is there.
TEST(SlopeSpread, AgreesWithErrorPropagationFromTheEnds) {
    struct Known {
        double sd_ft;
        double slope_sd;
    };
    for (const Known& known : {Known{0.2, 0.00707}, Known{0.1, 0.00354}, Known{0.0164, 0.00058}}) {
        made::Pipe pipe;
        pipe.length_m = 40.0 * kFoot_m;
        made::Survey none;
        none.spacing_m = 0.0;
        none.taped_start = none.taped_end = true;
        made::Run run = made::make_run(pipe, none, 1);
        for (StationedVertical& seen : made::run_of(run.lines).vertical) {
            seen.row.depth_m.sd = known.sd_ft * kFoot_m;
            seen.row.ground_m->sd = 0.0;
        }
        const AlignedRun& aligned = run.lines.runs.front();
        const Analysis analysis = analyse_run(aligned, {true, true, false},
                                              make_rows(aligned, ZReference::benchmark, {}));
        const Slope slope = slope_over(analysis, {0.0, pipe.length_m}, 0.0);
        // A thousand samples are good to 2 %.
        EXPECT_NEAR(slope.estimate.sd, known.slope_sd, 0.05 * known.slope_sd);
    }
}

// Both inverts taped, depths good to 1 cm between them: the bounds are those of the fall that there
// is, uneven bedding and all, no wider.
TEST(Slope, IsAsUnsureAsItIsWrongWhereEverythingIsMeasuredFinely) {
    made::Survey fine = made::locator_and_tapes(0.75);
    fine.depth_sd_m = 0.01;
    double squares = 0.0;
    constexpr int kRuns = 100;
    for (int seed = 0; seed < kRuns; ++seed) {
        made::Pipe pipe;
        pipe.bedding_sd_m = 0.005;
        const made::Run made = made::make_run(pipe, fine, seed);
        const GradedRun run = graded(made);
        ASSERT_TRUE(run.slope);
        squares += std::pow((run.slope->value - made::bedded_slope(made)) / run.slope->sd, 2);
    }
    // 100 errors in standard deviations: 1 ± 0.07.
    EXPECT_NEAR(std::sqrt(squares / kRuns), 1.0, 0.2);
}

TEST(Slope, OfAStraightRunIsRecoveredWithinItsBounds) {
    int covered = 0;
    constexpr int kRuns = 60;
    for (int seed = 0; seed < kRuns; ++seed) {
        made::Pipe pipe;
        pipe.bedding_sd_m = 0.005;
        const made::Run made = made::make_run(pipe, made::locator_and_tapes(), seed);
        const GradedRun run = graded(made);
        ASSERT_TRUE(run.slope);
        if (std::abs(run.slope->value - made::bedded_slope(made)) <= 1.96 * run.slope->sd)
            ++covered;
        EXPECT_LT(run.slope->sd, 0.002);
    }
    EXPECT_GE(covered, 53);
}

TEST(Slope, IsWithheldWithoutGroundElevations) {
    made::Survey survey = made::locator_and_tapes();
    survey.ground_known = false;
    const Profiles profiles = grade_lines(made::make_run({}, survey, 1).lines, made::levelled());
    const GradedRun& run = profiles.runs.front();
    EXPECT_FALSE(run.slope);
    EXPECT_THAT(run.slope.withheld.reason, HasSubstr("No ground elevations"));
    EXPECT_FALSE(run.slope.withheld.what_to_do.empty());
    EXPECT_EQ(run.z_reference, ZReference::below_ground);
    EXPECT_TRUE(run.bellies.empty());
    EXPECT_TRUE(made::any_finding(profiles, "withheld"));
    ASSERT_FALSE(run.profile.empty());
    EXPECT_NEAR(run.profile.front().z_m.value, -1.0, 0.05);
}

TEST(Slope, IsWithheldFromFewOrCloseOrPoorDepths) {
    made::Survey two = made::locator_and_tapes();
    two.spacing_m = 0.0;
    EXPECT_THAT(graded(made::make_run({}, two, 1)).slope.withheld.reason, HasSubstr("Only 2"));

    made::Pipe brief;
    brief.length_m = 4.0;
    EXPECT_THAT(graded(made::make_run(brief, made::locator_and_tapes(), 1)).slope.withheld.reason,
                HasSubstr("span only"));
    GradeOptions in_feet = made::levelled();
    in_feet.unit = LengthUnit::foot;
    EXPECT_THAT(grade_lines(made::make_run(brief, made::locator_and_tapes(), 1).lines, in_feet)
                    .runs.front()
                    .slope.withheld.reason,
                HasSubstr("16.4 ft (5.0 m) are needed"));

    made::Survey poor;
    poor.spacing_m = 5.0;
    poor.depth_sd_m = 0.20;
    EXPECT_THAT(graded(made::make_run({}, poor, 1)).slope.withheld.reason, HasSubstr("0.5 %"));
}

TEST(Slope, OnGroundAssumedLevelComesWithTheFindingAndNoVerdict) {
    made::Survey survey = made::locator_and_tapes();
    survey.ground_known = false;
    GradeOptions options;
    options.z_reference = ZReference::assumed_level_ground;
    const Profiles profiles = grade_lines(made::make_run({}, survey, 1).lines, options);
    const GradedRun& run = profiles.runs.front();
    ASSERT_TRUE(run.slope);
    EXPECT_GT(run.slope->sd, 0.005);
    // The ground of made runs falls 1 %, twice the sd allowed for it; depth alone sees the rest.
    EXPECT_NEAR(run.slope->value, 0.0025, 0.004);
    EXPECT_EQ(run.stretches.front().verdict, SlopeVerdict::cannot_tell);
    EXPECT_TRUE(made::any_finding(profiles, "assumed level"));
}

// 3 % up, where a lawn may be half a per cent off level.
TEST(Slope, OnGroundAssumedLevelIsNoVerdictEvenWhereThePipeSeemsToRise) {
    made::Survey survey = made::locator_and_tapes();
    survey.ground_known = false;
    made::Pipe rising;
    rising.slope = -0.03;
    GradeOptions options;
    options.z_reference = ZReference::assumed_level_ground;
    const Profiles profiles = grade_lines(made::make_run(rising, survey, 1).lines, options);
    ASSERT_TRUE(profiles.runs.front().slope);
    EXPECT_LT(profiles.runs.front().slope->value, -0.02);
    EXPECT_FALSE(made::any_finding(profiles, "wrong way"));
    EXPECT_TRUE(made::any_finding(profiles, "the run would rise in the direction"));
    for (const Finding& finding : profiles.findings) {
        EXPECT_NE(finding.severity, Severity::problem) << finding.what;
    }
}

TEST(SlopeVerdict, FollowsTheProbabilityOfMeetingTheMinimum) {
    EXPECT_EQ(slope_verdict(0.98), SlopeVerdict::meets);
    EXPECT_EQ(slope_verdict(0.97), SlopeVerdict::cannot_tell);
    EXPECT_EQ(slope_verdict(0.03), SlopeVerdict::cannot_tell);
    EXPECT_EQ(slope_verdict(0.02), SlopeVerdict::below);
}

// 1/8 in per ft is asked of a 4 in sewer: IPC Table 704.1.
TEST(SlopeVerdict, TellsSteepFlatAndDoubtfulSewersApart) {
    const auto verdict = [](double slope, const made::Survey& survey) {
        made::Pipe pipe;
        pipe.slope = slope;
        return graded(made::make_run(pipe, survey, 3)).stretches.front().verdict;
    };
    EXPECT_EQ(verdict(0.0208, made::locator_and_tapes()), SlopeVerdict::meets);
    EXPECT_EQ(verdict(0.0050, made::locator_and_tapes()), SlopeVerdict::below);
    made::Survey locator_only;
    EXPECT_EQ(verdict(0.0104, locator_only), SlopeVerdict::cannot_tell);
}

TEST(Slope, AgainstTheExpectedFallIsAFinding) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), 1);
    std::swap(run.lines.structures[0].kind, run.lines.structures[1].kind);
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    EXPECT_FALSE(profiles.runs.front().flow_with_push);
    EXPECT_NEAR(profiles.runs.front().slope->value, -0.0125, 0.003);
    EXPECT_TRUE(made::any_finding(profiles, "falls the wrong way"));
}

TEST(Slope, OfARunPushedUpstreamIsStillAFall) {
    made::Pipe rising;
    rising.slope = -0.0125;
    made::Run run = made::make_run(rising, made::locator_and_tapes(), 1);
    std::swap(run.lines.structures[0].kind, run.lines.structures[1].kind);
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    EXPECT_NEAR(profiles.runs.front().slope->value, 0.0125, 0.003);
    EXPECT_FALSE(made::any_finding(profiles, "falls the wrong way"));
    EXPECT_TRUE(profiles.runs.front().bellies.empty());
}

TEST(Stretches, AreCutWhereTheGradeBreaks) {
    made::Pipe pipe;
    pipe.length_m = 30.0;
    pipe.slope = 0.005;
    pipe.break_at_m = 15.0;
    pipe.slope_change = 0.04;
    made::Survey survey = made::locator_and_tapes();
    survey.spacing_m = 1.0;
    survey.depth_sd_m = 0.03;
    const GradedRun run = graded(made::make_run(pipe, survey, 1));
    ASSERT_THAT(run.stretches, SizeIs(2));
    EXPECT_NEAR(run.stretches[0].to_m, 15.0, 2.0);
    EXPECT_NEAR(run.stretches[0].slope->value, 0.005, 0.006);
    EXPECT_NEAR(run.stretches[1].slope->value, 0.045, 0.006);
    EXPECT_EQ(run.stretches[1].verdict, SlopeVerdict::meets);
}

TEST(Stretches, OfAStraightRunAreSeldomCut) {
    int cut = 0;
    for (int seed = 0; seed < 40; ++seed) {
        if (graded(made::make_run({}, made::locator_and_tapes(), seed)).stretches.size() > 1) ++cut;
    }
    EXPECT_LE(cut, 4);
}

TEST(Slope, OfALateralHasNoMinimumAndTellsOfTooMuchFall) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), 1);
    made::run_of(run.lines).run.kind = RunKind::lateral;
    run.lines.structures[0].kind = StructureKind::distribution_box;
    made::run_of(run.lines).run.to.reset();
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    const GradedRun& graded = profiles.runs.front();
    EXPECT_EQ(graded.stretches.front().verdict, SlopeVerdict::not_asked);
    EXPECT_FALSE(graded.stretches.front().minimum_slope.has_value());
    EXPECT_TRUE(made::any_finding(profiles, "3 in per 100 ft"));
    ASSERT_TRUE(graded.level_range_m.has_value());
    EXPECT_NEAR(*graded.level_range_m, 0.30, 0.05);
}

TEST(Slope, OfARunTapedAtBothEndsIsNotHelpedByTapingThemAgain) {
    made::Survey survey = made::locator_and_tapes();
    survey.ground_sd_m = 0.3;  // levels that do not close
    const GradedRun ends_taped = graded(made::make_run({}, survey, 3));
    ASSERT_FALSE(ends_taped.slope);
    EXPECT_THAT(ends_taped.slope.withheld.what_to_do, HasSubstr("level the ground there again"));
    survey.taped_end = false;
    const GradedRun one_end = graded(made::make_run({}, survey, 3));
    ASSERT_FALSE(one_end.slope);
    EXPECT_THAT(one_end.slope.withheld.what_to_do, HasSubstr("Tape the inverts at both ends"));
}

TEST(SlopeVerdict, IsWithheldFromARunWhoseKindIsInDoubt) {
    made::Run run = made::make_run({}, made::locator_and_tapes(), 3);
    made::run_of(run.lines).run.kind_doubt = "R2 is a distribution box";
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    ASSERT_FALSE(profiles.runs[0].stretches.empty());
    EXPECT_EQ(profiles.runs[0].stretches[0].verdict, SlopeVerdict::cannot_tell);
    EXPECT_FALSE(profiles.runs[0].stretches[0].minimum_slope.has_value());
    EXPECT_NE(profiles.runs[0].capacity_words.find("in doubt"), std::string::npos);
}

}  // namespace
}  // namespace sondeline::grade
