// One taped invert that is off, among sound tapes and depths. Runs are made.
#include "grade/tape_slips.hpp"

#include <algorithm>
#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "grade/analysis.hpp"
#include "grade/locator_wander.hpp"
#include "grade/made_run.hpp"
#include "grade/slope.hpp"

namespace sondeline::grade {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

// Depths good to 2 cm each 0.75 m and nothing shared between them, both inverts taped.
made::Run fine_run(double start_off_m) {
    made::Survey survey;
    survey.spacing_m = 0.75;
    survey.depth_sd_m = 0.02;
    survey.taped_start = survey.taped_end = true;
    made::Run run = made::make_run({}, survey, 3);
    for (StationedVertical& seen : made::run_of(run.lines).vertical) {
        if (seen.row.kind == VerticalKind::taped_start) seen.row.depth_m.value -= start_off_m;
    }
    return run;
}

Analysis analysed(const made::Run& run) {
    const AlignedRun& aligned = run.lines.runs.front();
    std::vector<RunRows> rows = {make_rows(aligned, ZReference::benchmark, {})};
    settle_locator_wander(rows);
    return analyse_run(aligned, {true, true, false}, rows.front());
}

TEST(TapeSlips, AreUnlikelyWhereTapesAndDepthsAgree) {
    const Analysis analysis = analysed(fine_run(0.0));
    ASSERT_THAT(analysis.tape_slips, SizeIs(2));
    for (const TapeSlip& slip : analysis.tape_slips) EXPECT_LT(slip.probability, 0.02);
    EXPECT_EQ(tape_again_words(analysis.screening.used, analysis.tape_slips), "");
}

TEST(TapeSlips, OfABoreAreNamedAndTheBoundsReachBoth) {
    const made::Run off = fine_run(made::bore_m);
    const Profiles profiles = grade_lines(off.lines, made::levelled());
    EXPECT_TRUE(made::any_finding(profiles, "held to the top of the pipe"));
    const auto& slope = profiles.runs.front().slope;
    ASSERT_TRUE(slope);
    EXPECT_LT(std::abs(slope->value - made::bedded_slope(off)), normal_95 * slope->sd);
    const auto sound = grade_lines(fine_run(0.0).lines, made::levelled()).runs.front().slope;
    EXPECT_LT(sound->sd, 0.4 * slope->sd);
}

// With all tapes sound the locator must have wandered from the one that is off; without that tape
// nothing says that it did.
TEST(TapeSlips, DoNotTakeATapeThatIsOffForWander) {
    const made::Run off = fine_run(made::bore_m);
    std::vector<RunRows> rows = {make_rows(off.lines.runs.front(), ZReference::benchmark, {})};
    settle_locator_wander(rows);
    const RunRows& run = rows.front();
    const auto start = std::ranges::find(run.tape_odds, VerticalKind::taped_start, &TapeOdds::tape);
    ASSERT_NE(start, run.tape_odds.end());
    EXPECT_GT(start->probability, 0.5);
    EXPECT_LT(start->wander_share, 0.7 * run.wander.share);
}

// What is told of a tape that lies `high_m` too high, give or take 2 cm.
Finding told(double high_m, double bore_m, double probability = 0.4) {
    Row row;
    row.kind = VerticalKind::taped_start;
    row.source = "taped at box";
    row.station_m = 3.0;
    TapeSlip slip;
    slip.probability = probability;
    slip.high_m = {high_m, 0.02};
    Findings findings;
    tell_tape_slips(RunId{"L1"}, {}, {row}, {slip}, bore_m, findings);
    return findings.empty() ? Finding{} : findings.front();
}

TEST(TapeSlips, SayWhichWayTheInvertLiesAndWhere) {
    const Finding high = told(0.10, 0.0);
    EXPECT_THAT(high.what, HasSubstr("The invert taped at box lies 10 cm (3.9 in) higher than"));
    ASSERT_TRUE(high.where.station_m);
    EXPECT_DOUBLE_EQ(*high.where.station_m, 3.0);
    EXPECT_THAT(told(-0.10, 0.0).what, HasSubstr("10 cm (3.9 in) lower than"));
}

TEST(TapeSlips, AreToldFromOneInTenOn) {
    EXPECT_EQ(told(0.10, 0.0, 0.09).what, "");
    EXPECT_NE(told(0.10, 0.0, 0.11).what, "");
}

// A tape to the top of the pipe reads high by the bore, never low.
TEST(TapeSlips, BlameTheTopOfThePipeOnlyForATapeThatIsABoreTooHigh) {
    constexpr const char* words = "held to the top of the pipe";
    EXPECT_THAT(told(0.10, 0.1016).what, HasSubstr(words));
    EXPECT_EQ(told(-0.10, 0.1016).what.find(words), std::string::npos);
    EXPECT_EQ(told(0.15, 0.1016).what.find(words), std::string::npos);
    EXPECT_EQ(told(0.01, 0.0).what.find(words), std::string::npos) << "no bore known";
}

// Half a bore is nothing that depths good to 2 cm would show for sure; three bores are.
TEST(TapeSlips, MayGoUnseenAsFarAsTheRestOfTheRunIsUnsure) {
    const Analysis analysis = analysed(fine_run(0.0));
    EXPECT_TRUE(may_go_unseen(0.02, analysis.tape_slips));
    EXPECT_FALSE(may_go_unseen(3.0 * made::bore_m, analysis.tape_slips));
}

// Of a slope of which a few draws say that a tape is off, 95 % lie within 1.96 of the stated sd;
// as many would by the sd of the draws only if they were normal.
TEST(TapeSlips, GiveTheSlopeTheSdOfBoundsThatHold95PercentOfItsDraws) {
    const Analysis analysis = analysed(fine_run(0.05));
    ASSERT_THAT(analysis.tape_slips, SizeIs(2));
    ASSERT_GT(analysis.tape_slips[0].probability, 0.0);
    const Slope slope = slope_over(analysis, {0.0, analysis.rows.length_m}, 0.0);
    std::vector<double> draws = slope.draws;
    const Bounded bounds = median_and_bounds(draws);
    const double half = normal_95 * slope.estimate.sd;
    const double mean = mean_and_sd(slope.draws).value;
    EXPECT_LE(mean - half, bounds.lo95);
    EXPECT_GE(mean + half, bounds.hi95);
}

TEST(TapeSlips, AreNotWeighedWhereThereAreTapesAlone) {
    made::Survey none;
    none.spacing_m = 0.0;
    none.taped_start = none.taped_end = true;
    EXPECT_THAT(analysed(made::make_run({}, none, 1)).tape_slips, IsEmpty());
}

// 0.75 % over 24 m on a run asked for 1.04 %: a tape 7 cm off would make it meet.
TEST(Slope, ThatFallsShortSaysWhenOneTapeWouldChangeIt) {
    made::Pipe flat;
    flat.slope = 0.0075;
    const made::Run run = made::make_run(flat, made::locator_and_tapes(), 2);
    const Profiles profiles = grade_lines(run.lines, made::levelled());
    const auto below = std::ranges::find_if(profiles.findings, [](const Finding& finding) {
        return finding.what.find("less than the") != std::string::npos;
    });
    ASSERT_NE(below, profiles.findings.end());
    EXPECT_THAT(below->what_to_do, HasSubstr("one that is"));
}

}  // namespace
}  // namespace sondeline::grade
