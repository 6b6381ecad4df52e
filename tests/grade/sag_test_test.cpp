#include "grade/sag_test.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "grade/made_run.hpp"
#include "grade/normal.hpp"
#include "grade/smallest_sag.hpp"

namespace sondeline::grade {
namespace {

struct Tested {
    RunRows run;
    SagTest test;
};

Tested tested(const made::Run& run) {
    Tested out;
    out.run = make_rows(run.lines.runs.front(), ZReference::benchmark, {});
    out.test = sag_test(out.run, out.run.rows, plain_trends(out.run), 1.0);
    return out;
}

TEST(SagTest, TakesADeepSagForNoScatterOfTheDepths) {
    made::Pipe pipe;
    pipe.sags = {{0.35, 12.0, 4.0}};
    double plain = 0.0;
    double without_sag = 0.0;
    constexpr int kRuns = 20;
    for (int seed = 0; seed < kRuns; ++seed) {
        const Tested of = tested(made::make_run(pipe, made::locator_and_tapes(), seed));
        without_sag += of.test.scatter / kRuns;
        plain += (kScatterFreedom + of.test.squares) / (kScatterFreedom + of.test.freedom) / kRuns;
    }
    EXPECT_GT(plain, 2.0);
    EXPECT_LT(without_sag, 1.2);
}

TEST(SagTest, FindsTheScatterOfAStraightRun) {
    made::Survey survey = made::locator_and_tapes(1.0);
    survey.error_factor = 2.0;
    double sum = 0.0;
    constexpr int kRuns = 40;
    for (int seed = 0; seed < kRuns; ++seed) {
        sum += tested(made::make_run({}, survey, seed)).test.scatter;
    }
    // Between the 1 that was stated and the 4 that is true, as (8 + 22·4)/(8 + 22) has it.
    EXPECT_NEAR(sum / kRuns, 3.2, 0.4);
}

// Student's t with the freedom that is left has this spread; taken as normal it would be 1.
TEST(SagTest, GivesOneSagItsDepthWithinItsDeviation) {
    made::Pipe pipe;
    pipe.sags = {{0.20, 12.0, 4.0}};
    int within = 0;
    constexpr int kRuns = 200;
    for (int seed = 0; seed < kRuns; ++seed) {
        const Tested of = tested(made::make_run(pipe, made::locator_and_tapes(), seed));
        const TestedSag sag = tested_sag(of.test, sag_place({12.0, 4.0}, of.test.rows));
        if (std::abs(sag.depth_m.value - 0.20) <= 1.96 * sag.depth_m.sd) ++within;
    }
    EXPECT_GE(within, kRuns * 92 / 100);
    EXPECT_LE(within, kRuns * 98 / 100);
}

TEST(SmallestSag, IsLargerWhereAPartOfTheRunHasNoDepths) {
    made::Run run = made::make_run({}, made::locator_and_tapes(0.75), 1);
    const auto smallest = [](const made::Run& of) {
        const Tested all = tested(of);
        return smallest_sag_m(all.test, all.run.length_m, {6.0, 0.9});
    };
    const auto whole = smallest(run);
    // Three metres without a depth: a sag there is shown by its shores alone.
    auto& rows = made::run_of(run.lines).vertical;
    std::erase_if(rows, [](const StationedVertical& seen) {
        return seen.station_m > 10.5 && seen.station_m < 13.5;
    });
    const auto with_gap = smallest(run);
    ASSERT_TRUE(whole && with_gap);
    EXPECT_GT(*with_gap, 1.1 * *whole);
    // Nothing over half of the run: no size is shown 9 times in 10 wherever it lies.
    std::erase_if(rows, [](const StationedVertical& seen) {
        return seen.station_m > 2.0 && seen.station_m < 14.0;
    });
    EXPECT_FALSE(smallest(run).has_value());
}

}  // namespace
}  // namespace sondeline::grade
