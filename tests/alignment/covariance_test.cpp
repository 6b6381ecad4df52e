#include "alignment/covariance.hpp"

#include <Eigen/Eigenvalues>
#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs bent({0.0, 0.0}, {{0.0, 0.5}, {8.4, 0.5 + 45.0 * degree}});
const std::vector<double> every_two{1.0, 3.0, 5.0, 7.0, 9.0, 11.0, 13.0, 15.0};
const std::vector<double> drawn{0.0, 4.0, 8.0, 12.0, 16.0};

State true_state(const Problem& problem) {
    State state = straight_state(problem, 0.5);
    state.runs[0].bends = {{.x_m = 8.4, .angle_rad = 45.0 * degree}};
    return state;
}

// Two thousand days with other errors: what was observed and what the priors hold (the start, the
// port, the scales, the joints, the cable's slip) drawn anew each time from their own spreads. The
// bend's own angle and station are held by the fixes alone.
TEST(Covariance, IsHowFarTheLineScattersFromDayToDay) {
    const double sd = 0.03;
    const int days = 2000;
    made::Noise noise(17);
    std::vector<Eigen::Matrix2d> scatter(drawn.size(), Eigen::Matrix2d::Zero());
    double length_scatter = 0.0;
    std::optional<Spread> stated;
    for (int day = 0; day < days; ++day) {
        RunData data;
        data.x_end_m = 16.0;
        data.positions = {fix_at(1.0, {0.0, 0.0}, sd)};
        Problem problem = lone_problem(data, 0.02);
        State truth = true_state(problem);
        truth.shared.head<2>() = Eigen::Vector2d(noise.normal(0.02), noise.normal(0.02));
        truth.shared(4) = noise.normal(reel_scale_sd);
        RunModel& model = truth.runs[0];
        model.port_m = {noise.normal(data.port_sd_from_m), noise.normal(data.port_sd_from_m)};
        model.own_scale = noise.normal(own_scale_sd);
        for (double& joint : model.joints_rad) joint = noise.normal(model.joint_sd_rad);
        model.bends[0].slip_m = noise.normal(bend_slip_sd_m);
        const RunLine line(model, place_of(problem, truth, 0));
        data.positions.clear();
        for (const double x : every_two) {
            data.positions.push_back(
                fix_at(x, line.at(x) + Eigen::Vector2d(noise.normal(sd), noise.normal(sd)), sd));
        }
        State state = true_state(problem);
        solve(problem, state, {.fixes = FixLoss::plain}, {.steps = 60, .least_gain = 1e-10});
        const RunLine fitted(state.runs[0], place_of(problem, state, 0));
        for (std::size_t i = 0; i < drawn.size(); ++i) {
            const Eigen::Vector2d off = fitted.at(drawn[i]) - line.at(drawn[i]);
            scatter[i] += off * off.transpose() / days;
        }
        const double longer = pipe_length_m(state.runs[0], state.shared(4), 16.0) -
                              pipe_length_m(model, truth.shared(4), 16.0);
        length_scatter += longer * longer / days;
        if (day == 0) stated = own_spread({problem, true_state(problem)}, drawn, FixLoss::plain);
    }
    ASSERT_TRUE(stated);
    for (std::size_t i = 0; i < drawn.size(); ++i) {
        const auto at = 2 * static_cast<Eigen::Index>(i);
        const Eigen::Matrix2d c = stated->points.block<2, 2>(at, at);
        // A variance from 2000 draws is good to 3 %; the bend is not quite linear.
        EXPECT_NEAR(scatter[i].trace() / c.trace(), 1.0, 0.12) << drawn[i];
    }
    EXPECT_NEAR(length_scatter / stated->length_variance, 1.0, 0.12);
}

TEST(Covariance, OfUnknownsIsTheInverseOfTheWholeNormalMatrix) {
    const RunData data = run_along(bent, every_two, 16.0, 0.05);
    const Problem problem = lone_problem(data, 0.02);
    const LoneRun lone{problem, true_state(problem)};
    const auto covariance = unknowns_covariance(lone, FixLoss::plain);
    ASSERT_TRUE(covariance);
    const Linearised at = linearise(problem, lone.state, {.fixes = FixLoss::plain});
    Eigen::MatrixXd normal = at.runs[0].normal;
    normal.bottomRightCorner<5, 5>() += at.shared_normal;
    const auto n = normal.rows();
    EXPECT_LT((normal * *covariance - Eigen::MatrixXd::Identity(n, n)).norm(), 1e-6);
}

TEST(Covariance, GrowsByModelsThatExplainCoarseFixesAsWell) {
    const RunData data = run_along(bent, every_two, 16.0, 0.5, 0.4, 3);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    const LoneRun lone{problem, found.state};
    const auto own = own_spread(lone, drawn, FixLoss::mixture);
    const auto averaged =
        averaged_spread(lone, drawn, FixLoss::mixture, rival_models(lone, FixLoss::mixture));
    ASSERT_TRUE(own && averaged);
    EXPECT_GT(rival_models(lone, FixLoss::mixture).size(), 1U);
    EXPECT_GT(averaged->points.trace(), 1.2 * own->points.trace());
    const EndWidening widening = end_widening(*own, *averaged);
    EXPECT_GE(widening.start, 1.0);
    EXPECT_GE(widening.end, 1.0);
}

TEST(Covariance, HardlyGrowsWhereFineFixesLeaveNoDoubt) {
    const RunData data = run_along(bent, every_two, 15.5, 0.01, 0.005, 3);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    const LoneRun lone{problem, found.state};
    const std::vector<double> inner{1.0, 5.0, 11.0, 15.0};
    const auto own = own_spread(lone, inner, FixLoss::mixture);
    const auto averaged =
        averaged_spread(lone, inner, FixLoss::mixture, rival_models(lone, FixLoss::mixture));
    ASSERT_TRUE(own && averaged);
    EXPECT_LT(averaged->points.trace(), 1.3 * own->points.trace());
}

TEST(Covariance, StaysSymmetricAndPositive) {
    const RunData data = run_along(bent, every_two, 16.0, 0.3, 0.3, 9);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    const LoneRun lone{problem, found.state};
    const auto averaged =
        averaged_spread(lone, drawn, FixLoss::mixture, rival_models(lone, FixLoss::mixture));
    ASSERT_TRUE(averaged);
    EXPECT_LT((averaged->points - averaged->points.transpose()).norm(), 1e-12);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(averaged->points);
    EXPECT_GT(eigen.eigenvalues().minCoeff(), -1e-9);
}

// The mean square of the distance from several lines is least from their mean (Steiner's theorem).
TEST(Covariance, IsAboutTheMeanOfAllModels) {
    const RunData data = run_along(bent, every_two, 16.0, 0.5, 0.4, 3);
    const Problem problem = lone_problem(data, 0.02);
    const Candidate found =
        search_run(problem, {problem.shared.mean, {}}, {.start = true, .end = false});
    const LoneRun lone{problem, found.state};
    const std::vector<Candidate> pool = rival_models(lone, FixLoss::mixture);
    const std::vector<double> weights = weights_of(pool);
    const std::vector<double> inner{4.0, 8.0, 12.0};
    const auto averaged = averaged_spread(lone, inner, FixLoss::mixture, pool);
    ASSERT_TRUE(averaged);
    Eigen::VectorXd mean = Eigen::VectorXd::Zero(6);
    const RunLine chosen(lone.state.runs[0], place_of(problem, lone.state, 0));
    for (std::size_t m = 0; m < pool.size(); ++m) {
        const RunLine line(pool[m].state.runs[0], place_of(problem, pool[m].state, 0));
        for (Eigen::Index i = 0; i < 3; ++i) {
            const double x_m = inner[static_cast<std::size_t>(i)];
            mean.segment<2>(2 * i) += weights[m] * (line.at(x_m) - chosen.at(x_m));
        }
    }
    EXPECT_GT(mean.norm(), 0.02);
    EXPECT_LT((averaged->shift_m - mean).norm(), 0.05 * mean.norm());
}

TEST(PipeLength, LosesTheSlipOfEveryBendPassed) {
    RunModel model = straight_run(16.0, 3.0, 0.01, 0.0);
    model.bends = {{.x_m = 5.0, .slip_m = 0.04}, {.x_m = 12.0, .slip_m = -0.01}};
    model.own_scale = std::log(1.02);
    EXPECT_NEAR(pipe_length_m(model, 0.0, 4.0), 4.0 * 1.02, 1e-12);
    EXPECT_NEAR(pipe_length_m(model, 0.0, 10.0), (10.0 - 0.04) * 1.02, 1e-12);
    EXPECT_NEAR(pipe_length_m(model, std::log(1.01), 16.0), (16.0 - 0.03) * 1.02 * 1.01, 1e-12);
}

}  // namespace
}  // namespace sondeline::alignment
