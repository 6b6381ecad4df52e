#include "grade/cover.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "sondeline/grade.hpp"

#include "grade/made_run.hpp"

namespace sondeline {
namespace {

// Few depths, so that the invert between them is poorly known, and a dip in the middle.
made::Run poorly_known(int seed) {
    made::Pipe pipe;
    pipe.slope = 0.01;  // as the ground falls: no place is the deepest but the dip
    pipe.sags = {{0.10, 14.0, 6.0}};
    made::Survey survey;
    survey.spacing_m = 4.0;
    survey.constant_sd_m = 0.03;
    survey.taped_start = true;
    return made::make_run(pipe, survey, seed);
}

TEST(Cover, NoStationsBoundsReachPastThoseOfTheLeastAndTheGreatestDepth) {
    for (int seed = 0; seed < 10; ++seed) {
        const GradedRun run = grade_lines(poorly_known(seed).lines, made::levelled()).runs.front();
        ASSERT_TRUE(run.min_cover_m);
        ASSERT_TRUE(run.max_cover_m);
        for (const ProfilePoint& point : run.profile) {
            EXPECT_GE(point.cover_m->lo95, run.min_cover_m->lo95);
            EXPECT_LE(point.cover_m->hi95, run.max_cover_m->hi95);
            EXPECT_GE(point.cover_m->value, run.min_cover_m->value);
            EXPECT_GE(point.cover_m->hi95, run.min_cover_m->hi95);
            EXPECT_LE(point.cover_m->lo95, run.max_cover_m->lo95);
        }
    }
}

// What the bounds promise, held against inverts that are known: the least and the greatest depth of
// the whole run lie within theirs in 19 runs of 20.
TEST(Cover, BoundsOfTheLeastAndTheGreatestDepthCoverTheTruth) {
    constexpr int runs = 60;
    int least = 0;
    int greatest = 0;
    for (int seed = 0; seed < runs; ++seed) {
        const made::Run made_run = poorly_known(seed);
        const GradedRun run = grade_lines(made_run.lines, made::levelled()).runs.front();
        double truth_least_m = 1e9;
        double truth_greatest_m = -1e9;
        for (const ProfilePoint& point : run.profile) {
            const double depth_m =
                made::ground_m(point.station_m) - made::invert_m(made_run.pipe, point.station_m);
            truth_least_m = std::min(truth_least_m, depth_m);
            truth_greatest_m = std::max(truth_greatest_m, depth_m);
        }
        const auto within = [](const Bounded& bounds, double truth_m) {
            return bounds.lo95 <= truth_m && truth_m <= bounds.hi95;
        };
        least += within(*run.min_cover_m, truth_least_m) ? 1 : 0;
        greatest += within(*run.max_cover_m, truth_greatest_m) ? 1 : 0;
    }
    EXPECT_GE(least, runs * 92 / 100);
    EXPECT_GE(greatest, runs * 92 / 100);
}

}  // namespace
}  // namespace sondeline
