// The camera's own level in the profile. What a level and a head are off by is common practice, no
// source; the rest follows from the made pipes, whose inverts are known.
#include "grade/level_log.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

made::Survey locator_tapes_and_level() {
    made::Survey survey;
    survey.constant_sd_m = survey.proportion_sd = 0.03;
    survey.taped_start = survey.taped_end = true;
    survey.level = true;
    return survey;
}

GradeOptions said(InclinationSign sign) {
    GradeOptions options = made::levelled();
    options.inclination_sign = sign;
    return options;
}

std::optional<double> smallest_sag_m(const GradedRun& run) {
    for (const DetectionLimit& limit : run.limits) {
        if (limit.width_m == 4.0) return limit.sag_m;
    }
    return std::nullopt;
}

TEST(LevelLog, ShowsABellyThatDepthsAloneCannotAndIsNamedAsItsWitness) {
    made::Pipe pipe;
    pipe.slope = 0.01;
    pipe.sags = {{0.06, 12.0, 4.0}};
    int with = 0;
    int without = 0;
    constexpr int runs = 20;
    for (int seed = 0; seed < runs; ++seed) {
        made::Survey survey = locator_tapes_and_level();
        const GradedRun run = grade_lines(made::make_run(pipe, survey, seed).lines,
                                          said(InclinationSign::downhill_positive))
                                  .runs.front();
        survey.level = false;
        const GradedRun alone =
            grade_lines(made::make_run(pipe, survey, seed).lines, made::levelled()).runs.front();
        without += alone.bellies.empty() ? 0 : 1;
        if (run.bellies.size() != 1) continue;
        ++with;
        EXPECT_THAT(run.bellies.front().evidence, Contains(Witness::level_log));
        EXPECT_NEAR((run.bellies.front().from_m + run.bellies.front().to_m) / 2.0, 12.3, 1.0);
    }
    EXPECT_GE(with, 18);
    EXPECT_LE(without, 2);
}

TEST(LevelLog, MakesASmallerSagShowAndTheWordsSayWhichWitnessDoes) {
    made::Survey survey = locator_tapes_and_level();
    const GradedRun with =
        grade_lines(made::make_run({}, survey, 1).lines, said(InclinationSign::downhill_positive))
            .runs.front();
    survey.level = false;
    const GradedRun without =
        grade_lines(made::make_run({}, survey, 1).lines, made::levelled()).runs.front();
    ASSERT_TRUE(smallest_sag_m(with) && smallest_sag_m(without));
    EXPECT_LT(*smallest_sag_m(with), 0.25 * *smallest_sag_m(without));
    EXPECT_THAT(with.limit_words, HasSubstr("depths alone would"));
    EXPECT_THAT(without.limit_words, Not(HasSubstr("level")));
}

TEST(LevelLog, SaysNothingOfTheMeanSlopeThatItsZeroCouldMake) {
    made::Survey survey;
    survey.spacing_m = 0.0;
    survey.taped_start = survey.taped_end = true;
    survey.level = true;
    survey.level_wobble_sd = 0.0005;
    survey.level_zero_sd = 0.02;  // twice what is expected of a level
    const made::Run run = made::make_run({}, survey, 3);
    const GradedRun graded =
        grade_lines(run.lines, said(InclinationSign::downhill_positive)).runs.front();
    ASSERT_FALSE(graded.profile.empty());
    const ProfilePoint& last = graded.profile.back();
    EXPECT_NEAR(last.z_m.value, made::invert_m(run.pipe, run.pipe.length_m), 0.03);
}

TEST(LevelLog, IsTurnedAboutWhenTheJobSaysThatDownhillIsNegative) {
    made::Survey survey = locator_tapes_and_level();
    const GradedRun straight =
        grade_lines(made::make_run({}, survey, 4).lines, said(InclinationSign::downhill_positive))
            .runs.front();
    survey.level_turned = true;
    const GradedRun turned =
        grade_lines(made::make_run({}, survey, 4).lines, said(InclinationSign::downhill_negative))
            .runs.front();
    ASSERT_EQ(straight.profile.size(), turned.profile.size());
    for (std::size_t i = 0; i < turned.profile.size(); ++i) {
        EXPECT_DOUBLE_EQ(straight.profile[i].z_m.value, turned.profile[i].z_m.value);
    }
}

TEST(LevelLog, HasItsSignToldByTheDepthsOfASteepRun) {
    made::Pipe steep;
    steep.slope = 0.05;
    for (const bool turned : {false, true}) {
        made::Survey survey = locator_tapes_and_level();
        survey.level_turned = turned;
        const Profiles profiles =
            grade_lines(made::make_run(steep, survey, 5).lines, made::levelled());
        EXPECT_TRUE(made::any_finding(
            profiles, turned ? "figure is negative downhill" : "figure is positive downhill"));
        EXPECT_THAT(profiles.runs.front().limit_words, HasSubstr("camera's level"));
    }
}

TEST(LevelLog, OfUnknownSignIsNotUsedOnAFlatRun) {
    made::Pipe flat;
    flat.slope = 0.002;
    const Profiles profiles =
        grade_lines(made::make_run(flat, locator_tapes_and_level(), 6).lines, made::levelled());
    EXPECT_TRUE(made::any_finding(profiles, "positive or negative downhill is not said"));
    EXPECT_THAT(profiles.runs.front().limit_words, Not(HasSubstr("camera's level")));
}

TEST(LevelLog, OfTheWrongSignIsFoundAtOddsWithTapesAndLeftOut) {
    made::Pipe steep;
    steep.slope = 0.05;
    made::Survey survey = locator_tapes_and_level();
    survey.level_turned = true;
    const Profiles profiles = grade_lines(made::make_run(steep, survey, 7).lines,
                                          said(InclinationSign::downhill_positive));
    EXPECT_TRUE(made::any_finding(profiles, "and not as the job table says"));
    const ProfilePoint& last = profiles.runs.front().profile.back();
    EXPECT_NEAR(last.z_m.value, made::invert_m(steep, steep.length_m), 0.03);
}

// A zero of 2 × 1.4 % makes up for it: unlikely, but not so that the level looks like none.
TEST(LevelLog, IsLeftOutAndItsSignNamedWhereTheJobSaysTheOtherThanTheDayShows) {
    made::Pipe pipe;
    pipe.slope = 0.014;
    made::Survey survey = locator_tapes_and_level();
    survey.level_zero_sd = 0.003;
    const std::string named = "inclination figure is positive downhill, and not as the job";
    int wrong = 0;
    int right = 0;
    for (int seed = 0; seed < 10; ++seed) {
        const made::Run run = made::make_run(pipe, survey, seed);
        const auto is_named = [&](InclinationSign sign) {
            return made::any_finding(grade_lines(run.lines, said(sign)), named) ? 1 : 0;
        };
        wrong += is_named(InclinationSign::downhill_negative);
        right += is_named(InclinationSign::downhill_positive);
    }
    EXPECT_GE(wrong, 9);
    EXPECT_EQ(right, 0);
}

TEST(LevelLog, LosesAPieceWhereTheHeadLayOnAStep) {
    made::Run run = made::make_run({}, locator_tapes_and_level(), 8);
    for (StationedVertical& seen : made::run_of(run.lines).vertical) {
        if (seen.row.kind == VerticalKind::level_log && seen.station_m == 10.0) {
            seen.row.depth_m.value += 0.12;
        }
    }
    const GradedRun graded =
        grade_lines(run.lines, said(InclinationSign::downhill_positive)).runs.front();
    EXPECT_THAT(graded.bellies, IsEmpty());
    for (const ProfilePoint& point : graded.profile) {
        EXPECT_NEAR(point.z_m.value, made::invert_m(run.pipe, point.station_m), 0.05);
    }
}

TEST(LevelLog, BoundsCoverTheInvertAsOftenAsTheySay) {
    int points = 0;
    int covered = 0;
    for (int seed = 0; seed < 60; ++seed) {
        made::Pipe pipe;
        pipe.bedding_sd_m = 0.005;
        pipe.sags = {{0.04, 8.0 + 0.1 * seed, 4.0}};
        const made::Run run = made::make_run(pipe, locator_tapes_and_level(), seed);
        const GradedRun graded =
            grade_lines(run.lines, said(InclinationSign::downhill_positive)).runs.front();
        for (const ProfilePoint& point : graded.profile) {
            const double truth_m = made::bedded_invert_m(run, point.station_m);
            ++points;
            covered += point.z_m.lo95 <= truth_m && truth_m <= point.z_m.hi95 ? 1 : 0;
        }
    }
    const double share = static_cast<double>(covered) / points;
    EXPECT_GE(share, 0.92);
    EXPECT_LE(share, 0.995);
}

}  // namespace
}  // namespace sondeline::grade
