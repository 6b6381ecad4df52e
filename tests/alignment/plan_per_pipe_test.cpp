#include "alignment/plan_per_pipe.hpp"

#include <gtest/gtest.h>

namespace sondeline::alignment {
namespace {

// A fall of 3 in a pipe of 5 goes 4 in plan (the triangle 3, 4, 5).
TEST(PlanPerPipe, IsThatOfTheRightTriangleWhereAPipeIsSteep) {
    SiteRun run;
    for (const double x_m : {0.0, 5.0, 10.0}) {
        run.vertical.push_back({VerticalKind::open_depth,
                                x_m,
                                0.0,
                                {1.0, 0.01},
                                Estimate{100.0 - 0.6 * x_m, 0.01},
                                -1,
                                ""});
    }
    EXPECT_NEAR(plan_per_pipe(run), 0.8, 1e-12);
    for (VerticalObservation& row : run.vertical) row.ground_m->value = 100.0 - 0.02 * row.x_m;
    EXPECT_EQ(plan_per_pipe(run), 1.0);  // 0.02 % shorter at 2 %: below what a counter tells
}

// Inches read as feet: 12 times the depth, and 12 times its change along the pipe.
TEST(PlanPerPipe, HeedsNoDepthsThatTheTapesDenyOrThatMostlyCannotBe) {
    const auto with_depths = [](double at_start_m, double per_m) {
        SiteRun run;
        for (int i = 0; i < 8; ++i) {
            const double x_m = 1.0 + 2.0 * i;
            run.vertical.push_back({VerticalKind::sonde_depth,
                                    x_m,
                                    0.0,
                                    {at_start_m + per_m * x_m, 0.05},
                                    Estimate{100.0, 0.01},
                                    i,
                                    ""});
        }
        return run;
    };
    SiteRun run = with_depths(5.6, -0.12);
    EXPECT_LT(plan_per_pipe(run), 0.999);
    run.vertical.push_back(
        {VerticalKind::taped_start, 0.0, 0.0, {0.5, 0.005}, Estimate{100.0, 0.01}, -1, ""});
    EXPECT_EQ(plan_per_pipe(run), 1.0);
    EXPECT_EQ(plan_per_pipe(with_depths(7.1, -0.12)), 1.0);
    run = with_depths(2.0, -0.12);  // a steep pipe whose tape agrees
    run.vertical.push_back(
        {VerticalKind::taped_start, 0.0, 0.0, {2.05, 0.005}, Estimate{100.0, 0.01}, -1, ""});
    EXPECT_LT(plan_per_pipe(run), 0.999);
}

TEST(PlanPerPipe, HeedsNoSingleRodThatWasReadTenMetresWrong) {
    for (int wrong = 0; wrong < 9; ++wrong) {
        SiteRun run;
        for (int i = 0; i < 9; ++i) {
            const double x_m = 2.0 * i;
            const double slip_m = i == wrong ? -11.8 : 0.0;
            run.vertical.push_back({VerticalKind::sonde_depth,
                                    x_m,
                                    0.0,
                                    {1.0, 0.05},
                                    Estimate{100.0 - 0.02 * x_m + slip_m, 0.01},
                                    i,
                                    ""});
        }
        EXPECT_EQ(plan_per_pipe(run), 1.0) << wrong;
    }
}

}  // namespace
}  // namespace sondeline::alignment
