#include "grade/vertical_model.hpp"

#include <cmath>
#include <numbers>

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "grade/hypotheses.hpp"
#include "grade/made_run.hpp"

namespace sondeline::grade {
namespace {

RunRows rows_of(const made::Run& run) {
    return make_rows(run.lines.runs.front(), ZReference::benchmark, {});
}

RunRows some_rows() {
    made::Survey survey;
    survey.spacing_m = 3.0;
    survey.taped_start = survey.taped_end = true;
    return rows_of(made::make_run({}, survey, 3));
}

// ln N(y; 0, S), S = V + XP⁻¹Xᵀ, written out.
double log_density(const Eigen::VectorXd& y, const Eigen::MatrixXd& s) {
    return -0.5 * y.dot(s.inverse() * y) - 0.5 * std::log(s.determinant());
}

Eigen::MatrixXd marginal(const ModelInput& input, const std::vector<Trend>& trends) {
    const Eigen::MatrixXd x = columns(trends, *input.rows);
    const Eigen::VectorXd variance = prior_precision(trends).cwiseInverse();
    return row_covariance(input) + x * variance.asDiagonal() * x.transpose();
}

TEST(VerticalModel, EvidenceIsTheMarginalDensityOfTheReadings) {
    const RunRows run = some_rows();
    const ModelInput input{&run.rows, &run.ground, 1.0, false};
    const std::vector<Trend> trends = plain_trends(run);
    const VerticalModel model = solve_model(input, trends);
    EXPECT_NEAR(model.log_evidence, log_density(model.y, marginal(input, trends)), 1e-4);
}

TEST(VerticalModel, GivesTheFitOfGeneralisedLeastSquares) {
    const RunRows run = some_rows();
    const ModelInput input{&run.rows, &run.ground, 1.0, false};
    const VerticalModel model = solve_model(input, plain_trends(run));
    const Eigen::VectorXd fit = model.information.inverse() * model.right;
    EXPECT_NEAR(-fit(1), 0.0125, 0.001);
    EXPECT_NEAR(fit(0) + model.offset_m, made::invert_m({}, 12.0), 0.01);
}

TEST(VerticalModel, DoesNotLoseDigitsAtHighElevations) {
    RunRows low = some_rows();
    RunRows raised = low;
    for (Row& row : raised.rows) row.y_m += 3000.0;
    const auto solve = [](const RunRows& run) {
        return solve_model({&run.rows, &run.ground, 1.0, false}, plain_trends(run));
    };
    EXPECT_TRUE(solve(low).qy.isApprox(solve(raised).qy, 1e-6));
}

TEST(Evidence, OfASagIsTheRatioOfMarginalDensities) {
    made::Pipe pipe;
    pipe.sags = {{0.10, 12.0, 4.0}};
    made::Survey survey;
    survey.spacing_m = 1.0;
    const RunRows run = rows_of(made::make_run(pipe, survey, 5));
    const Evidence evidence = weigh_evidence(run, run.rows, 1.0);
    const ModelInput input{&run.rows, &run.ground, 1.0, false};
    const Eigen::MatrixXd s = marginal(input, plain_trends(run));
    const VerticalModel model = solve_model(input, plain_trends(run));
    for (const SagPlace& place : evidence.sags) {
        if (place.width_m != 4.0 || std::abs(place.centre_m - 12.0) > 0.3) continue;
        // Integral over a half-normal depth by a fine sum.
        const Eigen::VectorXd phi =
            -columns({{TrendKind::sag, place.centre_m, place.width_m, kSagSd_m}}, run.rows);
        double sum = 0.0;
        constexpr double kStep_m = 0.0005;
        for (double a = kStep_m / 2.0; a < 0.5; a += kStep_m) {
            const double prior = 2.0 / (kSagSd_m * std::sqrt(2.0 * std::numbers::pi)) *
                                 std::exp(-0.5 * a * a / (kSagSd_m * kSagSd_m));
            sum += kStep_m * prior *
                   std::exp(log_density(model.y + a * phi, s) - log_density(model.y, s));
        }
        EXPECT_NEAR(log_sag_factor({place.a, place.m}), std::log(sum), 1e-3);
    }
}

TEST(Evidence, OfABreakIsTheRatioOfMarginalDensities) {
    made::Pipe pipe;
    pipe.break_at_m = 12.0;
    pipe.slope_change = 0.03;
    made::Survey survey;
    survey.depth_sd_m = 0.02;
    const RunRows run = rows_of(made::make_run(pipe, survey, 6));
    const ModelInput input{&run.rows, &run.ground, 1.0, false};
    std::vector<Trend> with = plain_trends(run);
    with.push_back({TrendKind::grade_break, 12.0, 0.0, kBreakSd});
    const double gain =
        solve_model(input, with).log_evidence - solve_model(input, plain_trends(run)).log_evidence;
    EXPECT_GT(gain, 3.0);
    // Break places are 1 m apart and share P(break) = 1 − e^{−0.02 L} evenly.
    const Evidence evidence = weigh_evidence(run, run.rows, 1.0);
    ASSERT_TRUE(evidence.certain.empty());
    const auto at = std::ranges::find(evidence.breaks, 12.0, &BreakPlace::station_m);
    ASSERT_NE(at, evidence.breaks.end());
    const auto row = at - evidence.breaks.begin() + 1;
    const double prior = (1.0 - std::exp(-0.02 * 24.0)) / std::exp(-0.02 * 24.0) /
                         static_cast<double>(evidence.breaks.size());
    const double ratio = evidence.probability(row, 0) / evidence.probability(0, 0);
    EXPECT_NEAR(std::log(ratio / prior), gain, 1e-6);
}

TEST(Evidence, KeepsWhatWasThoughtBeforeWhereThereAreNoData) {
    made::Survey survey;
    survey.spacing_m = 0.0;
    survey.taped_start = survey.taped_end = true;
    const RunRows run = rows_of(made::make_run({}, survey, 7));
    const Evidence evidence = weigh_evidence(run, run.rows, 1.0);
    EXPECT_NEAR(evidence.p_sag, 1.0 - std::exp(-0.015 * 24.0), 1e-9);
    EXPECT_NEAR(evidence.p_break, 0.0, 1e-12);
}

// A locator that reads a share of the depth too deep turns a run by that share of the depth's own
// fall. Depths that only scatter must not be taken for one.
TEST(VerticalModel, TakesScatterOfDepthsForNoProportionalErrorOfTheLocator) {
    made::Pipe pipe;
    pipe.length_m = 40.0;
    pipe.slope = 0.04;
    made::Survey survey;
    survey.spacing_m = 0.25;
    double sum = 0.0;
    constexpr int kRuns = 40;
    for (int seed = 0; seed < kRuns; ++seed) {
        const RunRows run = rows_of(made::make_run(pipe, survey, seed));
        const ModelInput input{&run.rows, &run.ground, 1.0};
        const VerticalModel model = solve_model(input, plain_trends(run));
        const Eigen::VectorXd fit = model.information.inverse() * model.right;
        sum += fit(1) + pipe.slope;
    }
    // By depths as read: 0.0036, 12 % of the 0.03 by which the depth grows.
    EXPECT_NEAR(sum / kRuns, 0.0, 0.0005);
}

}  // namespace
}  // namespace sondeline::grade
