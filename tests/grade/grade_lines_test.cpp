#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sondeline/grade.hpp"

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

void expect_same(const GradedRun& a, const GradedRun& b) {
    ASSERT_EQ(a.profile.size(), b.profile.size());
    for (std::size_t i = 0; i < a.profile.size(); ++i) {
        EXPECT_EQ(a.profile[i].z_m.value, b.profile[i].z_m.value);
        EXPECT_EQ(a.profile[i].z_m.lo95, b.profile[i].z_m.lo95);
    }
    EXPECT_EQ(a.slope->value, b.slope->value);
    EXPECT_EQ(a.slope->sd, b.slope->sd);
    EXPECT_EQ(a.limit_words, b.limit_words);
}

// A run that the same locator read says how that one's error wanders (locator_wander_test.cpp).
TEST(GradeLines, GivesTheSameFiguresEveryTimeAndWhateverOtherRunsWereTapedAlone) {
    const made::Run first = made::make_run({}, made::locator_and_tapes(), 1);
    made::Survey tapes = made::locator_and_tapes();
    tapes.spacing_m = 0.0;
    const made::Run second = made::make_run({}, tapes, 2);
    Lines both = second.lines;
    both.runs.push_back(first.lines.runs.front());
    const Profiles alone = grade_lines(first.lines, made::levelled());
    expect_same(alone.runs[0], grade_lines(first.lines, made::levelled()).runs[0]);
    expect_same(alone.runs[0], grade_lines(both, made::levelled()).runs[1]);
}

TEST(GradeLines, BoundsOfTheInvertCoverTheTruth) {
    int points = 0;
    int covered = 0;
    for (int seed = 0; seed < 40; ++seed) {
        made::Pipe pipe;
        pipe.bedding_sd_m = 0.005;
        const made::Run made = made::make_run(pipe, made::locator_and_tapes(), seed);
        const Profiles profiles = grade_lines(made.lines, made::levelled());
        for (const ProfilePoint& point : profiles.runs.front().profile) {
            const double truth = made::bedded_invert_m(made, point.station_m);
            ++points;
            if (point.z_m.lo95 <= truth && truth <= point.z_m.hi95) ++covered;
        }
    }
    EXPECT_GT(points, 3000);
    EXPECT_GE(covered, points * 92 / 100);
}

TEST(GradeLines, GivesCoverFromGroundToInvert) {
    const Profiles profiles =
        grade_lines(made::make_run({}, made::locator_and_tapes(), 1).lines, made::levelled());
    const GradedRun& run = profiles.runs.front();
    // Ground falls 1 %, the pipe 1.25 %: cover grows from 1.00 to 1.06 m.
    EXPECT_NEAR(run.min_cover_m->value, 1.00, 0.03);
    EXPECT_NEAR(run.max_cover_m->value, 1.06, 0.03);
    EXPECT_LT(run.min_cover_m->lo95, run.min_cover_m->value);
    EXPECT_NEAR(run.start_invert_m->value, 99.0, 0.02);
    EXPECT_NEAR(run.end_invert_m->value, 98.7, 0.02);
    EXPECT_NEAR(run.fall_m->value, 0.30, 0.03);
}

TEST(GradeLines, NamesTheDepthsItRejectsAndGivesResidualsOfAll) {
    made::Survey survey = made::locator_and_tapes();
    survey.spacing_m = 1.0;
    survey.depth_sd_m = 0.03;
    made::Run run = made::make_run({}, survey, 1);
    made::run_of(run.lines).vertical[6].row.depth_m.value += 0.6;
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    const GradedRun& graded = profiles.runs.front();
    EXPECT_THAT(graded.rejected_depth_fixes, ElementsAre(5));
    ASSERT_THAT(graded.depth_residuals_m, SizeIs(24));
    EXPECT_EQ(graded.depth_residuals_m[5].first, 5);
    EXPECT_NEAR(graded.depth_residuals_m[5].second, 0.6, 0.2);
    EXPECT_EQ(graded.depth_rows_used, 25);
    EXPECT_TRUE(made::any_finding(profiles, "fix F6"));
    EXPECT_TRUE(made::any_finding(profiles, "deeper"));
}

TEST(GradeLines, WithholdsEverythingWhereTapeAndDepthsContradict) {
    made::Survey survey = made::locator_and_tapes();
    survey.spacing_m = 1.0;
    survey.depth_sd_m = 0.03;
    made::Run run = made::make_run({}, survey, 4);
    made::run_of(run.lines).vertical.front().row.depth_m.value += 0.6;
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    const GradedRun& graded = profiles.runs.front();
    EXPECT_FALSE(graded.slope);
    EXPECT_FALSE(graded.start_invert_m);
    EXPECT_THAT(graded.profile, IsEmpty());
    EXPECT_TRUE(made::any_finding(profiles, "contradicts the depths"));
}

TEST(GradeLines, OfARunWithoutDepthsWithholdsWithReasons) {
    made::Survey none;
    none.spacing_m = 0.0;
    const Profiles profiles = grade_lines(made::make_run({}, none, 1).lines, made::levelled());
    const GradedRun& run = profiles.runs.front();
    EXPECT_FALSE(run.slope);
    EXPECT_FALSE(run.slope.withheld.reason.empty());
    EXPECT_FALSE(run.min_cover_m.withheld.reason.empty());
    EXPECT_THAT(run.profile, IsEmpty());
    EXPECT_THAT(run.limit_words, HasSubstr("cannot be seen"));
    EXPECT_EQ(run.z_reference, ZReference::none);
}

TEST(GradeLines, LivesWithRunsThatHaveNoLengthOrNoNumbers) {
    Lines lines;
    lines.runs.resize(3);
    lines.runs[1].length_m = figure(Bounded{std::nan(""), 0.0, 0.0});
    lines.runs[2] = made::make_run({}, made::locator_and_tapes(), 1).lines.runs.front();
    lines.runs[2].run.from = 99;
    for (StationedVertical& seen : lines.runs[2].vertical) {
        seen.station_m = 3.0;
        seen.row.depth_m.sd = 0.0;
    }
    GradeOptions options = made::levelled();
    options.noted_water = {
        {2, std::nan(""), {}, {}, ""}, {7, 1.0, {}, {}, ""}, {0, 1.0, 2.0, {}, ""}};
    const Profiles profiles = grade_lines(lines, options);
    ASSERT_THAT(profiles.runs, SizeIs(3));
    for (const GradedRun& run : profiles.runs) EXPECT_FALSE(run.slope);
}

TEST(GradeLines, SaysWhenTheTableOfSlopesIsUnknown) {
    GradeOptions options = made::levelled();
    options.minimum_slope_table = "My table";
    EXPECT_TRUE(made::any_finding(grade_lines({}, options), "My table"));
}

TEST(GradeLines, TellsOfDepthsThatScatterMoreThanStated) {
    made::Survey survey = made::locator_and_tapes();
    survey.spacing_m = 0.75;
    survey.error_factor = 4.0;
    survey.depth_sd_m = 0.02;
    EXPECT_TRUE(
        made::any_finding(grade_lines(made::make_run({}, survey, 1).lines, made::levelled()),
                          "times as much as stated"));
}

}  // namespace
}  // namespace sondeline
