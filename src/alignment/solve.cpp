#include "alignment/solve.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

namespace sondeline::alignment {
namespace {

constexpr double largest_turn_per_step_rad = 0.5;
constexpr double first_damping = 1e-3;
constexpr double least_damping = 1e-9;
constexpr double most_damping = 1e7;

double shared_cost(const SharedTerms& terms, const Eigen::VectorXd& shared) {
    const Eigen::VectorXd off = shared - terms.mean;
    double cost = off.dot(terms.information * off);
    for (const TieTerm& tie : terms.ties) {
        const double r = TieResidual{tie}.value(shared.segment<2>(2 * tie.point),
                                                shared.segment<2>(2 * tie.reference));
        cost += r * r;
    }
    return cost;
}

void linearise_shared(const SharedTerms& terms, const Eigen::VectorXd& shared, Linearised& out) {
    out.shared_normal = terms.information;
    out.shared_gradient = terms.information * (shared - terms.mean);
    for (const TieTerm& tie : terms.ties) {
        const TieResidual residual{tie};
        const int p = 2 * tie.point;
        const int q = 2 * tie.reference;
        const Eigen::Vector2d point = shared.segment<2>(p);
        const Eigen::Vector2d reference = shared.segment<2>(q);
        const double r = residual.value(point, reference);
        const Eigen::Vector2d j = residual.derivative(point, reference);
        const Eigen::Matrix2d jj = j * j.transpose();
        out.shared_normal.block<2, 2>(p, p) += jj;
        out.shared_normal.block<2, 2>(q, q) += jj;
        out.shared_normal.block<2, 2>(p, q) -= jj;
        out.shared_normal.block<2, 2>(q, p) -= jj;
        out.shared_gradient.segment<2>(p) += j * r;
        out.shared_gradient.segment<2>(q) -= j * r;
    }
}

struct Step {
    Eigen::VectorXd shared;
    std::vector<Eigen::VectorXd> runs;
};

std::optional<Step> damped_step(const Problem& problem, const Linearised& at, double damping) {
    Eigen::MatrixXd normal = at.shared_normal;
    normal.diagonal() *= 1.0 + damping;
    Eigen::VectorXd gradient = at.shared_gradient;
    std::vector<Reduced> reduced;
    reduced.reserve(at.runs.size());
    for (std::size_t r = 0; r < at.runs.size(); ++r) {
        std::optional<Reduced> run = reduce(at.runs[r], damping);
        if (!run) return std::nullopt;
        const SharedIndex& index = problem.shared_of_run[r];
        const int count = at.runs[r].columns.shared;
        for (int i = 0; i < count; ++i) {
            gradient(index[i]) += run->gradient(i);
            for (int j = 0; j < count; ++j) {
                normal(index[i], index[j]) += run->normal(i, j);
            }
        }
        reduced.push_back(std::move(*run));
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() != Eigen::Success) return std::nullopt;
    Step step;
    step.shared = -factor.solve(gradient);
    for (std::size_t r = 0; r < reduced.size(); ++r) {
        SharedVector local(at.runs[r].columns.shared);
        for (int i = 0; i < local.size(); ++i) {
            local(i) = step.shared(problem.shared_of_run[r][i]);
        }
        step.runs.emplace_back(reduced[r].own_free - reduced[r].own_by_shared * local);
    }
    return step;
}

State stepped(const Problem& problem, const State& from, const Step& step) {
    double largest = 0.0;
    for (std::size_t r = 0; r < step.runs.size(); ++r) {
        largest = std::max(largest, largest_turn_rad(from.runs[r], step.runs[r]));
    }
    const double share =
        largest > largest_turn_per_step_rad ? largest_turn_per_step_rad / largest : 1.0;
    State to = from;
    to.shared += share * step.shared;
    for (std::size_t r = 0; r < step.runs.size(); ++r) {
        apply_step(to.runs[r], share * step.runs[r], problem.runs[r]->x_end_m);
    }
    return to;
}

}  // namespace

RunPlace place_of(const Problem& problem, const State& state, std::size_t run) {
    const SharedIndex& index = problem.shared_of_run[run];
    return {.from_m = {state.shared(index[0]), state.shared(index[1])},
            .to_m = {state.shared(index[2]), state.shared(index[3])},
            .reel_scale = state.shared(index[4]),
            .plan_factor = problem.runs[run]->plan_factor,
            .offset_m =
                problem.runs[run]->receiver
                    ? std::optional(Eigen::Vector2d(state.shared(index[5]), state.shared(index[6])))
                    : std::nullopt};
}

double total_cost(const Problem& problem, const State& state, const Losses& losses) {
    double cost = shared_cost(problem.shared, state.shared);
    for (std::size_t r = 0; r < problem.runs.size(); ++r) {
        cost += run_cost(*problem.runs[r], state.runs[r], place_of(problem, state, r), losses);
    }
    return cost;
}

Linearised linearise(const Problem& problem, const State& state, const Losses& losses) {
    Linearised out;
    linearise_shared(problem.shared, state.shared, out);
    out.cost = shared_cost(problem.shared, state.shared);
    out.runs.reserve(problem.runs.size());
    for (std::size_t r = 0; r < problem.runs.size(); ++r) {
        out.runs.push_back(
            linearise_run(*problem.runs[r], state.runs[r], place_of(problem, state, r), losses));
        out.cost += out.runs.back().cost;
    }
    return out;
}

std::optional<Reduced> reduce(const RunBlock& block, double damping) {
    const int own = block.columns.own();
    Eigen::MatrixXd own_normal = block.normal.topLeftCorner(own, own);
    own_normal.diagonal() *= 1.0 + damping;
    const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> factor(own_normal);
    if (factor.info() != Eigen::Success) return std::nullopt;
    const int shared = block.columns.shared;
    const auto border = block.normal.topRightCorner(own, shared);
    Reduced out;
    out.own_by_shared = factor.solve(border);
    out.own_free = -factor.solve(block.gradient.head(own));
    out.normal = block.normal.bottomRightCorner(shared, shared);
    out.normal.diagonal() *= 1.0 + damping;
    out.normal.noalias() -= border.transpose() * out.own_by_shared;
    out.gradient = block.gradient.tail(shared);
    out.gradient.noalias() += border.transpose() * out.own_free;
    return out;
}

double solve(const Problem& problem, State& state, const Losses& losses, const StepLimits& limits) {
    double damping = first_damping;
    Linearised at = linearise(problem, state, losses);
    double cost = at.cost;
    for (int tried = 0; tried < limits.steps && damping < most_damping; ++tried) {
        const std::optional<Step> step = damped_step(problem, at, damping);
        if (!step) {
            damping *= 10.0;
            continue;
        }
        State next = stepped(problem, state, *step);
        const double next_cost = total_cost(problem, next, losses);
        if (!(next_cost < cost)) {
            damping *= 10.0;
            continue;
        }
        const double gain = cost - next_cost;
        state = std::move(next);
        cost = next_cost;
        damping = std::max(least_damping, damping * 0.1);
        if (gain < limits.least_gain) break;
        if (tried + 1 < limits.steps) at = linearise(problem, state, losses);
    }
    return cost;
}

}  // namespace sondeline::alignment
