#include "alignment/score.hpp"

#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace sondeline::alignment {
namespace {

constexpr double margin_per_bend = 2.0;
constexpr double bonus_at_noted_fitting = 6.0;
constexpr StepLimits search_limits{.steps = 30, .least_gain = 2e-3};
constexpr StepLimits first_limits{.steps = 3, .least_gain = 1e-2};

}  // namespace

double model_terms(const RunBlock& block, const RunModel& model) {
    const int own = block.columns.own();
    const Eigen::LLT<Eigen::MatrixXd> factor(block.normal.topLeftCorner(own, own));
    if (factor.info() != Eigen::Success) return std::numeric_limits<double>::infinity();
    const auto diagonal = factor.matrixLLT().diagonal().array();
    double terms = 2.0 * diagonal.log().sum();
    terms += 2.0 * static_cast<double>(model.joints_rad.size()) * std::log(model.joint_sd_rad);
    const double two_pi = 2.0 * std::numbers::pi;
    const double per_bend = 2.0 * std::log(bend_slip_sd_m) +
                            2.0 * std::log(std::sqrt(two_pi) * bend_angle_sd_rad) -
                            2.0 * std::log(bends_per_m) - 2.0 * std::log(two_pi) + margin_per_bend;
    for (const BendUnknown& bend : model.bends) {
        terms += per_bend - (bend.noted_x_m ? bonus_at_noted_fitting : 0.0);
    }
    return terms;
}

double score_of(const Problem& problem, const State& state, const Losses& losses) {
    const Linearised at = linearise(problem, state, losses);
    double score = at.cost;
    for (std::size_t r = 0; r < at.runs.size(); ++r) {
        score += model_terms(at.runs[r], state.runs[r]);
    }
    return score;
}

Candidate converged(const Problem& problem, State state, FixLoss loss) {
    solve(problem, state, {.fixes = loss}, search_limits);
    const double score = score_of(problem, state, {.fixes = loss});
    return {std::move(state), score};
}

Candidate settled(const Problem& problem, State state, FixLoss loss) {
    if (loss != FixLoss::plain) solve(problem, state, {.fixes = FixLoss::cauchy}, first_limits);
    return converged(problem, std::move(state), loss);
}

}  // namespace sondeline::alignment
