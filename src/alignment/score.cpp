#include "alignment/score.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace sondeline::alignment {
namespace {

constexpr double least_room_m = 0.2;
constexpr StepLimits search_limits{.steps = 30, .least_gain = 2e-3};
constexpr StepLimits first_limits{.steps = 5, .least_gain = 1e-2};

// What stands at a likely place for the bends per metre elsewhere.
double density_per_m(const LikelyBend& likely) {
    const double odds = likely.probability / (1.0 - likely.probability);
    return odds / (likely.sd_m * std::sqrt(2.0 * std::numbers::pi));
}

// Room between a bend's neighbours, in which alone it is this bend and not the next one.
double room_m(const RunModel& model, std::size_t bend, double x_end_m) {
    const double x = model.bends[bend].x_m;
    double before = 0.0;
    double after = x_end_m;
    for (std::size_t k = 0; k < model.bends.size(); ++k) {
        const double other = model.bends[k].x_m;
        if (other < x || (other == x && k < bend)) before = std::max(before, other);
        if (other > x || (other == x && k > bend)) after = std::min(after, other);
    }
    return std::max(least_room_m, after - before);
}

// Own block with every bend's station spread over its room instead of the whole run: a row of bends
// in one gap would otherwise count places that they share, or would have to trade, as their own.
Eigen::MatrixXd with_rooms(const RunBlock& block, const RunModel& model, double x_end_m) {
    const int own = block.columns.own();
    Eigen::MatrixXd normal = block.normal.topLeftCorner(own, own);
    for (std::size_t k = 0; k < model.bends.size(); ++k) {
        const int at = block.columns.bend_x(static_cast<int>(k));
        const double room = room_m(model, k, x_end_m);
        normal(at, at) += 12.0 / (room * room) - 12.0 / (x_end_m * x_end_m);
    }
    return normal;
}

}  // namespace

double model_terms(const RunBlock& block, const RunModel& model, double x_end_m) {
    const Eigen::LLT<Eigen::MatrixXd> factor(with_rooms(block, model, x_end_m));
    if (factor.info() != Eigen::Success) return std::numeric_limits<double>::infinity();
    const auto diagonal = factor.matrixLLT().diagonal().array();
    double terms = 2.0 * diagonal.log().sum();
    terms += 2.0 * static_cast<double>(model.joints_rad.size()) * std::log(model.joint_sd_rad);
    const double two_pi = 2.0 * std::numbers::pi;
    const double per_bend = 2.0 * std::log(bend_slip_sd_m) +
                            2.0 * std::log(std::sqrt(two_pi) * bend_angle_sd_rad) -
                            2.0 * std::log(bends_per_m) - 2.0 * std::log(two_pi) + margin_per_bend;
    for (const BendUnknown& bend : model.bends) {
        terms += per_bend;
        if (bend.likely) terms -= 2.0 * std::log(density_per_m(*bend.likely) / bends_per_m);
    }
    return terms;
}

double score_of(const Problem& problem, const State& state, const Losses& losses) {
    const Linearised at = linearise(problem, state, losses);
    double score = at.cost;
    for (std::size_t r = 0; r < at.runs.size(); ++r) {
        score += model_terms(at.runs[r], state.runs[r], problem.runs[r]->x_end_m);
    }
    return score;
}

bool alike(const Candidate& a, const Candidate& b) {
    constexpr double alike_score = 0.02;
    return a.state.runs[0].bends.size() == b.state.runs[0].bends.size() &&
           std::abs(a.score - b.score) < alike_score;
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
