#include "alignment/rivals.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs bent({0.0, 0.0}, {{0.0, 0.5}, {8.4, 0.5 + 45.0 * degree}});

Candidate scored(const Problem& problem, double score) {
    return {straight_state(problem, 0.5), score};
}

TEST(RivalWeights, AreTheModelsEvidence) {
    const RunData data = run_along(bent, {1.0, 5.0, 9.0}, 16.0, 0.5, 0.4, 3);
    const Problem problem = lone_problem(data, 0.02);
    // A score is minus twice the logarithm of the evidence: 2 ln 3 more is a third as probable.
    const auto weights =
        weights_of({scored(problem, 10.0), scored(problem, 10.0 + 2.0 * std::log(3.0)),
                    scored(problem, std::numeric_limits<double>::infinity())});
    EXPECT_NEAR(weights[0], 0.75, 1e-12);
    EXPECT_NEAR(weights[1], 0.25, 1e-12);
    EXPECT_EQ(weights[2], 0.0);
}

TEST(Rivals, BeginWithTheChosenModelAndHoldNoneTwice) {
    const RunData data =
        run_along(bent, {1.0, 3.0, 5.0, 7.0, 9.0, 11.0, 13.0, 15.0}, 16.0, 0.5, 0.4, 3);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    const LoneRun lone{problem, found.state};
    const auto pool = rival_models(lone, FixLoss::mixture);
    ASSERT_GT(pool.size(), 1U);
    EXPECT_EQ(pool.front().state.runs[0].bends.size(), found.state.runs[0].bends.size());
    for (std::size_t i = 0; i < pool.size(); ++i) {
        for (std::size_t k = i + 1; k < pool.size(); ++k) EXPECT_FALSE(alike(pool[i], pool[k]));
    }
}

// The fixes lie on one line; only the box that the run leaves says that it turns before the first.
TEST(Rivals, HoldABendBetweenTheStructureAndTheFirstFix) {
    const made::Legs elbow({0.0, 0.0}, {{0.0, 90.0 * degree}, {0.8, 0.0}});
    RunData data = run_along(elbow, {2.0, 5.0, 8.0, 11.0}, 12.0, 0.02);
    data.port_sd_from_m = 0.3;
    const Problem problem = lone_problem(data, 0.05);
    State straight = straight_state(problem, 0.0);
    straight.runs[0].port_m = {0.8, -0.8};
    const LoneRun lone{problem, converged(problem, straight, FixLoss::mixture).state};
    const auto pool = rival_models(lone, FixLoss::mixture);
    const bool turns = std::ranges::any_of(pool, [](const Candidate& model) {
        const RunModel& run = model.state.runs[0];
        return run.bends.size() == 1 && run.bends[0].x_m < 2.0 && run.port_m.norm() < 0.3;
    });
    EXPECT_TRUE(turns);
}

// Two bends of an offset with a fix between them and one after: the second bend was sought before
// that fix, where it explains them nearly as well.
TEST(Rivals, HoldABendOnTheOtherSideOfAFix) {
    const made::Legs offset({0.0, 0.0}, {{0.0, 0.0}, {4.75, -45.0 * degree}, {9.5, 0.0}});
    RunData data = run_along(offset, {2.1, 5.4, 8.2, 11.8}, 14.0, 0.05);
    data.positions[2].at_m += Eigen::Vector2d(0.15, -0.10);
    const Problem problem = lone_problem(data, 0.02);
    State chosen = with_bend(straight_state(problem, 0.0), {5.0, -54.0 * degree}, 14.0);
    chosen = with_bend(chosen, {7.4, 42.0 * degree}, 14.0);
    const LoneRun lone{problem, converged(problem, chosen, FixLoss::mixture).state};
    ASSERT_LT(lone.state.runs[0].bends[1].x_m, 8.2);
    const auto pool = rival_models(lone, FixLoss::mixture);
    const bool after = std::ranges::any_of(pool, [](const Candidate& model) {
        const RunModel& run = model.state.runs[0];
        return run.bends.size() == 2 && run.bends[1].x_m > 8.2;
    });
    EXPECT_TRUE(after);
}

// Without the bend before its first fix the run goes on as it did from there.
TEST(Rivals, HoldTheChosenModelWithoutItsFirstBend) {
    const made::Legs elbow({0.0, 0.0}, {{0.0, 60.0 * degree}, {1.0, 0.0}});
    RunData data = run_along(elbow, {2.0, 5.0, 8.0, 11.0, 14.0}, 15.0, 0.05);
    data.port_sd_from_m = 0.5;
    const Problem problem = lone_problem(data, 0.02);
    const State turned =
        with_bend(straight_state(problem, 60.0 * degree), {1.0, -60.0 * degree}, 15.0);
    const LoneRun lone{problem, converged(problem, turned, FixLoss::mixture).state};
    const auto pool = rival_models(lone, FixLoss::mixture);
    const bool straight = std::ranges::any_of(pool, [&](const Candidate& model) {
        return model.state.runs[0].bends.empty() && model.score < pool.front().score + 12.0;
    });
    EXPECT_TRUE(straight);
}

}  // namespace
}  // namespace sondeline::alignment
