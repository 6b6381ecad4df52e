#include "alignment/solve.hpp"

#include <Eigen/Cholesky>
#include <gtest/gtest.h>

#include "alignment/covariance.hpp"
#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

RunData two_fixes() {
    RunData data;
    data.x_end_m = 0.8;  // too short for a joint: port, heading and scales alone
    data.positions = {fix_at(0.3, {0.0, 0.3}, 0.1), fix_at(0.8, {0.0, 0.8}, 0.1)};
    return data;
}

// A straight run northward is linear about its answer. Across it (east) there are two unknowns,
// the start (spread s0² of structure and port) and the heading (spread π²/3), and two fixes: the
// covariance of the prediction at x is that of weighted straight-line regression, in closed form.
TEST(UnknownsCovariance, EqualsTheClosedFormOfAStraightLine) {
    const RunData data = two_fixes();
    const Problem problem = lone_problem(data, 0.02);
    State state{Eigen::VectorXd::Zero(Columns::without_offset),
                {straight_run(0.8, 3.0, stiff_joint_sd_rad, 0.0)}};
    solve(problem, state, {.fixes = FixLoss::plain}, {});
    const auto spread = own_spread({problem, state}, {0.0, 0.5, 0.8}, FixLoss::plain);
    ASSERT_TRUE(spread);
    const double start_variance = 0.02 * 0.02 + 0.05 * 0.05;
    const double weight = 1.0 / (0.1 * 0.1);
    const double a = 1.0 / start_variance + 2.0 * weight;
    const double b = weight * (0.3 + 0.8);
    const double c = weight * (0.09 + 0.64) + 3.0 / (std::numbers::pi * std::numbers::pi);
    const double det = a * c - b * b;
    const double xs[] = {0.0, 0.5, 0.8};
    for (int i = 0; i < 3; ++i) {
        const double x = xs[i];
        const double expected = (c - 2.0 * b * x + a * x * x) / det;
        EXPECT_NEAR(spread->points(2 * i, 2 * i), expected, 1e-9) << x;
    }
}

TEST(Solve, GivesTheNumbersOfTheWholeNormalMatrix) {
    RunData data;
    data.x_end_m = 9.0;
    data.positions = {fix_at(2.0, {0.1, 2.0}, 0.05), fix_at(5.0, {0.0, 5.1}, 0.05),
                      fix_at(8.5, {0.2, 8.4}, 0.05)};
    const Problem problem = lone_problem(data, 0.5);
    State state{Eigen::VectorXd::Zero(Columns::without_offset),
                {straight_run(9.0, 3.0, stiff_joint_sd_rad, 0.01)}};
    const Linearised at = linearise(problem, state, {});
    Eigen::MatrixXd whole = at.runs[0].normal;
    whole.bottomRightCorner<5, 5>() += at.shared_normal;
    Eigen::VectorXd gradient = at.runs[0].gradient;
    gradient.tail<5>() += at.shared_gradient;
    const Eigen::VectorXd expected = -whole.llt().solve(gradient);
    const auto reduced = reduce(at.runs[0], 0.0);
    ASSERT_TRUE(reduced);
    const Eigen::MatrixXd shared_normal = at.shared_normal + reduced->normal;
    const Eigen::VectorXd shared =
        -shared_normal.llt().solve(at.shared_gradient + reduced->gradient);
    const Eigen::VectorXd own = reduced->own_free - reduced->own_by_shared * shared;
    EXPECT_LT((shared - expected.tail<5>()).norm(), 1e-10);
    EXPECT_LT((own - expected.head(own.size())).norm(), 1e-10);
}

TEST(Solve, FindsAStraightRunFromAPoorStart) {
    const RunData data = [] {
        RunData made;
        made.x_end_m = 10.0;
        for (const double x : {2.0, 5.0, 9.0}) {
            made.positions.push_back(fix_at(x, {x * std::sin(1.0), x * std::cos(1.0)}, 0.02));
        }
        return made;
    }();
    const Problem problem = lone_problem(data, 0.02);
    State state{Eigen::VectorXd::Zero(Columns::without_offset),
                {straight_run(10.0, 3.0, stiff_joint_sd_rad, 2.2)}};
    const double cost = solve(problem, state, {.fixes = FixLoss::cauchy}, {.steps = 100});
    EXPECT_LT(cost, 1e-6);
    EXPECT_NEAR(state.runs[0].heading0_rad, 1.0, 1e-4);
}

TEST(Solve, HoldsTwoStructuresAtTheirTape) {
    Problem problem;
    problem.shared.mean = Eigen::Vector4d(0.0, 0.0, 3.0, 3.9);
    problem.shared.information = Eigen::Vector4d(1e8, 1e8, 1.0, 1.0).asDiagonal();
    problem.shared.ties = {{.point = 1, .reference = 0, .distance_m = 5.0, .sd_m = 0.001}};
    State state{problem.shared.mean, {}};
    solve(problem, state, {}, {});
    EXPECT_NEAR(state.shared.segment<2>(2).norm(), 5.0, 1e-4);
    EXPECT_NEAR(state.shared(2) / state.shared(3), 3.0 / 3.9, 1e-3);
}

}  // namespace
}  // namespace sondeline::alignment
