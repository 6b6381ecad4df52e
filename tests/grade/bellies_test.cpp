#include "grade/bellies.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"
#include "grade/ponding.hpp"

namespace sondeline::grade {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

// Exposed and taped every 1.5 m.
made::Run opened(const made::Pipe& pipe, int seed) {
    made::Survey survey;
    survey.depth_sd_m = 0.005;
    survey.taped_start = survey.taped_end = true;
    made::Run run = made::make_run(pipe, survey, seed);
    for (StationedVertical& seen : made::run_of(run.lines).vertical) {
        if (seen.row.kind != VerticalKind::sonde_depth) continue;
        seen.row.kind = VerticalKind::open_depth;
        seen.row.depth_m.value += 0.05;  // the invert lies the sonde's height deeper
    }
    return run;
}

double true_pond_m(const made::Pipe& pipe) {
    Eigen::VectorXd z(2401);
    for (Eigen::Index i = 0; i < z.size(); ++i) {
        z(i) = made::invert_m(pipe, pipe.length_m * static_cast<double>(i) / 2400.0);
    }
    return ponded_depth_m(z, Downstream::at_end).maxCoeff();
}

TEST(Bellies, AreNotInventedFromDepthsThatScatterFiveCentimetres) {
    int runs_with_belly = 0;
    constexpr int kRuns = 100;
    for (int seed = 0; seed < kRuns; ++seed) {
        const made::Run run = made::make_run({}, made::locator_and_tapes(), seed);
        if (!grade_lines(run.lines, made::levelled()).runs.front().bellies.empty()) {
            ++runs_with_belly;
        }
    }
    EXPECT_LE(runs_with_belly, kRuns / 20);
}

TEST(Bellies, ThatAreLargeAreFoundByTapedAndOpenLevels) {
    made::Pipe pipe;
    pipe.sags = {{0.12, 12.0, 6.0}};
    int found = 0;
    int depth_covered = 0;
    constexpr int kRuns = 20;
    for (int seed = 0; seed < kRuns; ++seed) {
        const GradedRun run = grade_lines(opened(pipe, seed).lines, made::levelled()).runs.front();
        if (run.bellies.size() != 1) continue;
        const Belly& belly = run.bellies.front();
        if (belly.from_m > 12.5 || belly.to_m < 12.5) continue;
        ++found;
        EXPECT_THAT(belly.evidence, ElementsAre(Witness::profile));
        EXPECT_GE(*belly.probability, 0.8);
        ASSERT_TRUE(belly.volume_l.has_value());
        EXPECT_GT(belly.volume_l->value, 1.0);
        const double truth_m = true_pond_m(pipe);
        if (belly.depth_m->lo95 <= truth_m && truth_m <= belly.depth_m->hi95) ++depth_covered;
    }
    EXPECT_GE(found, 18);
    EXPECT_GE(depth_covered, found * 8 / 10);
}

TEST(Bellies, OfARunThatFallsBackFillItFromItsLowEnd) {
    made::Pipe pipe;
    pipe.slope = -0.004;
    const GradedRun run = grade_lines(opened(pipe, 1).lines, made::levelled()).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_LT(run.bellies.front().from_m, 1.0);
    EXPECT_NEAR(run.bellies.front().depth_m->value, 0.004 * 24.0, 0.02);
}

TEST(Bellies, FromANoteCarryTheNoteAndNoProbabilityWhereDepthsCannotTell) {
    const made::Run run = made::make_run({}, made::locator_and_tapes(), 1);
    GradeOptions options = made::levelled();
    options.noted_water = {{0, 10.0, {}, {}, "water standing"}};
    const Profiles profiles = grade_lines(run.lines, options);
    ASSERT_THAT(profiles.runs.front().bellies, SizeIs(1));
    const Belly& belly = profiles.runs.front().bellies.front();
    EXPECT_THAT(belly.evidence, ElementsAre(Witness::note));
    EXPECT_FALSE(belly.probability);
    EXPECT_THAT(belly.probability.withheld.reason, HasSubstr("need not show a sag under"));
    EXPECT_FALSE(belly.probability.withheld.what_to_do.empty());
    EXPECT_FALSE(belly.depth_m.has_value());
    EXPECT_THAT(belly.words, HasSubstr("water standing"));
    EXPECT_TRUE(made::any_finding(profiles, "how far it reaches was not noted"));
}

TEST(Bellies, FromANoteAreKeptWithoutAnyDepth) {
    made::Survey none;
    none.spacing_m = 0.0;
    GradeOptions options;
    options.noted_water = {{0, 10.0, 12.5, 0.025, "standing water, 1 in"}};
    const Profiles profiles = grade_lines(made::make_run({}, none, 1).lines, options);
    ASSERT_THAT(profiles.runs.front().bellies, SizeIs(1));
    const Belly& belly = profiles.runs.front().bellies.front();
    EXPECT_NEAR(belly.from_m, 10.0, 1e-9);
    EXPECT_NEAR(belly.to_m, 12.5, 1e-9);
    EXPECT_NEAR(belly.depth_m->value, 0.025, 1e-12);
    EXPECT_LT(belly.volume_l->lo95, belly.volume_l->value);
    EXPECT_LT(belly.volume_l->value, belly.volume_l->hi95);
    EXPECT_FALSE(belly.probability);
}

TEST(Bellies, TakeNoDepthOfANoteThatIsMoreThanThePipeIsWide) {
    made::Survey none;
    none.spacing_m = 0.0;
    GradeOptions options;
    options.noted_water = {{0, 10.0, 12.5, 0.152, "standing water, 6 in"}};
    Lines lines = made::make_run({}, none, 1).lines;
    lines.runs.front().run.diameter_m = 0.1016;
    const Profiles profiles = grade_lines(lines, options);
    ASSERT_THAT(profiles.runs.front().bellies, SizeIs(1));
    EXPECT_FALSE(profiles.runs.front().bellies.front().depth_m);
    EXPECT_FALSE(profiles.runs.front().bellies.front().volume_l);
    EXPECT_TRUE(made::any_finding(profiles, "water stands"));
    lines.runs.front().run.diameter_m = 0.2032;
    EXPECT_TRUE(grade_lines(lines, options).runs.front().bellies.front().depth_m);
}

TEST(Bellies, OfANoteAndTheProfileAreOneRowWithBothWitnesses) {
    made::Pipe pipe;
    pipe.sags = {{0.12, 12.0, 6.0}};
    GradeOptions options = made::levelled();
    options.noted_water = {{0, 11.0, 14.0, {}, "standing water"}};
    const GradedRun run = grade_lines(opened(pipe, 2).lines, options).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_THAT(run.bellies.front().evidence, ElementsAre(Witness::profile, Witness::note));
    EXPECT_NEAR(run.bellies.front().from_m, 11.0, 1e-9);
    EXPECT_THAT(run.bellies.front().words, HasSubstr("standing water"));
}

TEST(Bellies, ShownOnlyByStillWaterDoNotCountTheProfileAsAWitness) {
    // A sag too small for the locator; its water is seen and is level at both shores.
    made::Pipe pipe;
    pipe.sags = {{0.08, 12.0, 4.0}};
    GradeOptions options = made::levelled();
    options.noted_water = {{0, 11.3, 13.8, 0.04, "standing water, 4 cm"}};
    const GradedRun run =
        grade_lines(made::make_run(pipe, made::locator_and_tapes(), 4).lines, options).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_THAT(run.bellies.front().evidence, ElementsAre(Witness::note));
    EXPECT_TRUE(run.bellies.front().depth_m.has_value());
}

TEST(Bellies, SeenInTheFootageHaveItAsTheirWitness) {
    made::Pipe pipe;
    pipe.sags = {{0.08, 12.0, 4.0}};
    made::Run made_run = made::make_run(pipe, made::locator_and_tapes(), 4);
    StationedVertical seen;
    seen.station_m = 11.3;
    seen.to_station_m = 13.8;
    seen.row.kind = VerticalKind::still_water;
    seen.row.x_m = 11.3;
    seen.row.to_x_m = 13.8;
    seen.row.water = SeenWater{0.1, 0.1, true, false, false, {{12.5, {0.4, 0.06}}}};
    made::run_of(made_run.lines).vertical.push_back(seen);
    const GradedRun run = grade_lines(made_run.lines, made::levelled()).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_THAT(run.bellies.front().evidence, ElementsAre(Witness::footage));
    EXPECT_THAT(run.bellies.front().words, HasSubstr("a sag, or a blockage downstream"));
    EXPECT_THAT(run.bellies.front().words, HasSubstr("Deepest about 40 %"));
}

// Without the height of the lens the footage tells places and no depth; what to do is said.
TEST(Bellies, SeenByALensAtAnUnknownHeightSayWhyTheirDepthIsNotTold) {
    made::Run made_run = made::make_run({}, made::locator_and_tapes(), 4);
    StationedVertical seen;
    seen.station_m = 11.3;
    seen.to_station_m = 13.8;
    seen.row.kind = VerticalKind::still_water;
    seen.row.x_m = 11.3;
    seen.row.to_x_m = 13.8;
    seen.row.water = SeenWater{0.1, 0.1, true, true, true, {}};
    made::run_of(made_run.lines).vertical.push_back(seen);
    const GradedRun run = grade_lines(made_run.lines, made::levelled()).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_FALSE(run.bellies.front().depth_m);
    EXPECT_FALSE(run.bellies.front().volume_l);
    EXPECT_THAT(run.bellies.front().words, HasSubstr("How high the camera rides"));
    EXPECT_THAT(run.bellies.front().words, HasSubstr("with a stick"));
}

TEST(Bellies, ThatOnlyANoteTellsOfNameNoFootage) {
    made::Run made_run = made::make_run({}, made::locator_and_tapes(), 4);
    StationedVertical noted;
    noted.station_m = 11.3;
    noted.to_station_m = 13.8;
    noted.row.kind = VerticalKind::still_water;
    noted.row.x_m = 11.3;
    noted.row.to_x_m = 13.8;
    noted.row.source = "standing water, row 3";
    made::run_of(made_run.lines).vertical.push_back(noted);
    const GradedRun run = grade_lines(made_run.lines, made::levelled()).runs.front();
    ASSERT_THAT(run.bellies, SizeIs(1));
    EXPECT_THAT(run.bellies.front().evidence, ElementsAre(Witness::note));
    EXPECT_THAT(run.bellies.front().words, HasSubstr("Note: standing water, row 3."));
}

TEST(Bellies, AreNotSoughtInTrenches) {
    made::Pipe pipe;
    pipe.slope = 0.0;
    pipe.sags = {{0.12, 12.0, 6.0}};
    made::Run run = opened(pipe, 1);
    made::run_of(run.lines).run.kind = RunKind::trench;
    const GradedRun graded = grade_lines(run.lines, made::levelled()).runs.front();
    EXPECT_THAT(graded.bellies, IsEmpty());
    EXPECT_NEAR(graded.level_range_m.value(), 0.12, 0.03);
}

TEST(Bellies, OfALevelLateralAreOnlyWhatIsShutIn) {
    made::Pipe level;
    level.slope = 0.0;
    made::Run run = opened(level, 1);
    made::run_of(run.lines).run.kind = RunKind::lateral;
    EXPECT_THAT(grade_lines(run.lines, made::levelled()).runs.front().bellies, IsEmpty());
}

// The ground of made runs falls 1 % with the pipe: taken for level, the pipe seems to rise by 1 %.
TEST(Bellies, AreOnlySuspectedWhereTheGroundWasAssumedLevel) {
    made::Pipe pipe;
    pipe.slope = 0.0;
    made::Survey survey = made::locator_and_tapes();
    survey.ground_known = false;
    GradeOptions options;
    options.z_reference = ZReference::assumed_level_ground;
    const Profiles profiles = grade_lines(made::make_run(pipe, survey, 1).lines, options);
    EXPECT_THAT(profiles.runs.front().bellies, IsEmpty());
    EXPECT_TRUE(made::any_finding(profiles, "That rests on ground that was only assumed level"));
}

}  // namespace
}  // namespace sondeline::grade
