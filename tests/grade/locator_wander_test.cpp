// How much of what a locator is off by wanders along a run. The runs are made, so that what wanders
// is known; its memory is another than that which is taken.
#include "grade/locator_wander.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "sondeline/grade.hpp"

#include "grade/made_run.hpp"
#include "made/noise.hpp"

namespace sondeline::grade {
namespace {

constexpr double kMemory_m = 5.0;

::made::Survey fine_depths() {
    ::made::Survey fine = ::made::locator_and_tapes(0.75);
    fine.depth_sd_m = 0.01;
    return fine;
}

// With depths that are off by what wanders besides.
::made::Run wandering(const ::made::Pipe& pipe, const ::made::Survey& survey, double sd_m,
                      int seed) {
    ::made::Run run = ::made::make_run(pipe, survey, seed);
    made::Noise noise(static_cast<std::uint64_t>(seed));
    made::Wandering wander(sd_m, kMemory_m);
    wander.next(100.0 * kMemory_m, noise);
    for (StationedVertical& seen : ::made::run_of(run.lines).vertical) {
        if (seen.row.kind != VerticalKind::sonde_depth) continue;
        seen.row.depth_m.value += wander.next(survey.spacing_m, noise);
    }
    return run;
}

RunRows rows_of(const ::made::Run& run) {
    return make_rows(run.lines.runs.front(), ZReference::benchmark, {});
}

LocatorWander of_first(std::vector<RunRows> runs) {
    settle_locator_wander(runs);
    return runs.front().wander;
}

double mean_share(const ::made::Pipe& pipe, double wander_sd_m) {
    constexpr int kRuns = 20;
    double sum = 0.0;
    for (int seed = 0; seed < kRuns; ++seed) {
        sum += of_first({rows_of(wandering(pipe, fine_depths(), wander_sd_m, seed))}).share;
    }
    return sum / kRuns;
}

// What stays is 3 cm and 3 % of a metre, 4.2 cm: what wanders by half of that is a quarter.
TEST(LocatorWander, IsAboutWhatItIsWhereFineDepthsShowIt) {
    EXPECT_NEAR(mean_share({}, 0.021), 0.25, 0.1);
    EXPECT_LT(mean_share({}, 0.0), 0.03);
}

TEST(LocatorWander, IsNeitherASagNorABreakOfGrade) {
    ::made::Pipe sagged;
    sagged.sags = {{0.15, 12.0, 4.0}};
    EXPECT_LT(mean_share(sagged, 0.0), 0.03);
    ::made::Pipe broken;
    broken.break_at_m = 12.0;
    broken.slope_change = 0.02;
    EXPECT_LT(mean_share(broken, 0.0), 0.06);
}

// A sag that hardly stands out is in part taken for wander, unless it is asked what wanders beside
// it.
TEST(LocatorWander, IsLessBesideASagThanWithIt) {
    ::made::Pipe sagged;
    sagged.sags = {{0.05, 12.0, 6.0}};
    int less = 0;
    double with = 0.0;
    double beside = 0.0;
    constexpr int kRuns = 20;
    for (int seed = 0; seed < kRuns; ++seed) {
        const LocatorWander wander =
            of_first({rows_of(wandering(sagged, fine_depths(), 0.0, seed))});
        with += wander.share / kRuns;
        beside += wander.beside_sag / kRuns;
        less += wander.beside_sag < wander.share ? 1 : 0;
    }
    EXPECT_GE(less, 18);
    EXPECT_LT(beside, 0.5 * with);
}

TEST(LocatorWander, OfAPoorRunIsThatOfTheFineRunsOfItsSite) {
    const ::made::Survey poor = ::made::locator_and_tapes(6.0);
    const RunRows doubted = rows_of(wandering({}, poor, 0.0, 1));
    const double alone = of_first({doubted}).share;
    EXPECT_GT(of_first({doubted, rows_of(wandering({}, fine_depths(), 0.06, 2))}).share,
              1.3 * alone);
    EXPECT_LT(of_first({doubted, rows_of(wandering({}, fine_depths(), 0.0, 2))}).share,
              0.2 * alone);
}

TEST(LocatorWander, IsNotAskedWhereNoLocatorReadOrNoGroundIsKnown) {
    ::made::Survey tapes = ::made::locator_and_tapes();
    tapes.spacing_m = 0.0;
    EXPECT_EQ(of_first({rows_of(::made::make_run({}, tapes, 1))}).share, 0.0);
    ::made::Survey groundless = ::made::locator_and_tapes();
    groundless.ground_known = false;
    EXPECT_EQ(of_first({rows_of(::made::make_run({}, groundless, 1))}).share, 0.0);
}

// Without it (slope_test.cpp) the errors are as large as the bounds say; with it they were half as
// large again.
TEST(LocatorWander, LeavesSlopesAsUnsureAsTheyAreWrong) {
    constexpr int kRuns = 80;
    double squares = 0.0;
    for (int seed = 0; seed < kRuns; ++seed) {
        ::made::Pipe pipe;
        pipe.bedding_sd_m = 0.005;
        const ::made::Run run_made = wandering(pipe, fine_depths(), 0.02, seed);
        const GradedRun run = grade_lines(run_made.lines, ::made::levelled()).runs.front();
        ASSERT_TRUE(run.slope);
        squares += std::pow((run.slope->value - bedded_slope(run_made)) / run.slope->sd, 2);
    }
    // 80 errors in standard deviations: 1 ± 0.08.
    EXPECT_NEAR(std::sqrt(squares / kRuns), 1.0, 0.24);
}

TEST(LocatorWander, IsToldAsADipInNoMoreRunsThanScatterIs) {
    int dips = 0;
    constexpr int kRuns = 60;
    for (int seed = 0; seed < kRuns; ++seed) {
        const ::made::Run run_made = wandering({}, fine_depths(), 0.03, seed);
        const Profiles profiles = grade_lines(run_made.lines, ::made::levelled());
        const bool dip = ::made::any_finding(profiles, "dips about") ||
                         ::made::any_finding(profiles, "is suspected") ||
                         !profiles.runs.front().bellies.empty();
        dips += dip ? 1 : 0;
    }
    EXPECT_LE(dips, 6);
}

}  // namespace
}  // namespace sondeline::grade
