#include "alignment/rivals.hpp"

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

}  // namespace
}  // namespace sondeline::alignment
