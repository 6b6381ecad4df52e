#include "alignment/bends.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs straight({0.0, 0.0}, {{0.0, 0.5}});
const made::Legs bent({0.0, 0.0}, {{0.0, 0.5}, {8.4, 0.5 + 45.0 * degree}});
const made::Legs twice({0.0, 0.0},
                       {{0.0, 0.5}, {5.5, 0.5 + 40.0 * degree}, {11.5, 0.5 - 20.0 * degree}});
const std::vector<double> every_two{1.0, 3.0, 5.0, 7.0, 9.0, 11.0, 13.0, 15.0};

TEST(Bends, MayHideInTheMiddleOfEveryGapOverSixtyCentimetres) {
    RunData data = run_along(straight, {2.0, 2.5, 6.0}, 8.0, 0.1);
    data.headings = {{.fix = 0, .x_m = 7.0, .heading_rad = 0.5, .sd_rad = 0.1}};
    EXPECT_THAT(gap_middles_m(data), testing::ElementsAre(1.0, 4.25, 6.5, 7.5));
}

TEST(Bends, PromiseNothingOnAStraightPipe) {
    const RunData data = run_along(straight, every_two, 16.0, 0.05);
    const Problem problem = lone_problem(data, 0.02);
    State state = straight_state(problem, 0.5);
    solve(problem, state, {}, {});
    EXPECT_TRUE(promising_gaps_m(problem, state).empty());
}

TEST(Bends, PromiseMuchNextToACorner) {
    const RunData data = run_along(bent, every_two, 16.0, 0.05);
    const Problem problem = lone_problem(data, 0.02);
    const State state = straight_state(problem, 0.6);
    EXPECT_THAT(promising_gaps_m(problem, state), testing::Contains(8.0));
}

TEST(Bends, TurnWhatFollowsOrWhatPrecedes) {
    const RunData data = run_along(straight, every_two, 16.0, 0.05);
    const Problem problem = lone_problem(data, 0.02);
    const State state = straight_state(problem, 0.5);
    const State after = with_bend(state, {.x_m = 6.0, .angle_rad = 0.3}, 16.0);
    const State before = with_bend(state, {.x_m = 6.0, .angle_rad = 0.3, .front = true}, 16.0);
    const auto heading = [&](const State& of, double x) {
        return RunLine(of.runs[0], place_of(problem, of, 0)).heading_rad(x);
    };
    EXPECT_DOUBLE_EQ(heading(after, 2.0), 0.5);
    EXPECT_DOUBLE_EQ(heading(after, 9.0), 0.8);
    EXPECT_DOUBLE_EQ(heading(before, 2.0), 0.2);
    EXPECT_DOUBLE_EQ(heading(before, 9.0), 0.5);
    EXPECT_TRUE(without_bend(after, 0).runs[0].bends.empty());
}

TEST(Bends, AreFoundWhereThePipeTurns) {
    const RunData data = run_along(bent, every_two, 16.0, 0.02, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    ASSERT_EQ(found.state.runs[0].bends.size(), 1U);
    EXPECT_NEAR(found.state.runs[0].bends[0].x_m, 8.4, 0.15);
    EXPECT_NEAR(found.state.runs[0].bends[0].angle_rad, 45.0 * degree, 3.0 * degree);
}

TEST(Bends, AreFoundByAddingOneAfterTheOther) {
    const RunData data = run_along(twice, every_two, 16.0, 0.02, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    Candidate start = settled(problem, straight_state(problem, 0.5), FixLoss::mixture);
    const double before = start.score;
    Candidate found = with_missing_bends(problem, std::move(start), FixLoss::mixture);
    EXPECT_GE(found.state.runs[0].bends.size(), 2U);
    // One that was needed on the way may no longer be.
    found = without_needless_bends(problem, std::move(found), FixLoss::mixture);
    EXPECT_EQ(found.state.runs[0].bends.size(), 2U);
    EXPECT_LT(found.score, before - 20.0);
}

TEST(Bends, AreDroppedWhereTheFixesDoNotNeedThem) {
    const RunData data = run_along(straight, every_two, 16.0, 0.05, 0.05);
    const Problem problem = lone_problem(data, 0.02);
    State state = straight_state(problem, 0.5);
    state = with_bend(state, {.x_m = 6.0, .angle_rad = 0.05}, 16.0);
    state = with_bend(state, {.x_m = 11.0, .angle_rad = -0.05}, 16.0);
    const Candidate found = without_needless_bends(
        problem, converged(problem, std::move(state), FixLoss::mixture), FixLoss::mixture);
    EXPECT_TRUE(found.state.runs[0].bends.empty());
}

// Two half turns next to each other are one bend.
TEST(Bends, AreMergedWhereOneDoes) {
    const RunData data = run_along(bent, every_two, 16.0, 0.02, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    State state = straight_state(problem, 0.5);
    state = with_bend(state, {.x_m = 8.0, .angle_rad = 22.0 * degree}, 16.0);
    state = with_bend(state, {.x_m = 8.8, .angle_rad = 23.0 * degree}, 16.0);
    const Candidate found = without_needless_bends(
        problem, converged(problem, std::move(state), FixLoss::mixture), FixLoss::mixture);
    EXPECT_EQ(found.state.runs[0].bends.size(), 1U);
}

TEST(Bends, NeverAreMoreThanSix) {
    std::vector<made::Corner> corners{{0.0, 0.0}};
    for (int i = 1; i <= 9; ++i) corners.push_back({3.0 * i, (i % 2) * 1.2});
    const made::Legs zigzag({0.0, 0.0}, corners);
    std::vector<double> stations;
    for (double x = 0.5; x < 30.0; x += 1.0) stations.push_back(x);
    const RunData data = run_along(zigzag, stations, 30.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    EXPECT_LE(found.state.runs[0].bends.size(), most_bends);
}

}  // namespace
}  // namespace sondeline::alignment
