#include "alignment/rivals.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/LU>

#include "alignment/aimed_bends.hpp"

namespace sondeline::alignment {
namespace {

constexpr std::size_t kept_per_gap = 2;
constexpr double hopeless_score = 12.0;      // worse than the best by this: weight below 0.0025
constexpr double worth_moving_score = 17.0;  // the same, should variances be a 1.4-fold
constexpr StepLimits first_look{.steps = 4, .least_gain = 1e-2};

// A small turn is the same to the solver whichever side it swings; of a large one both are tried.
// Where no bend could pay for itself the small ones stand for all.
constexpr std::size_t small_turns = 2;
constexpr std::array<NewBend, 6> rival_turns{{{.angle_rad = -0.05},
                                              {.angle_rad = 0.05},
                                              {.angle_rad = -0.9},
                                              {.angle_rad = 0.9},
                                              {.angle_rad = -0.9, .front = true},
                                              {.angle_rad = 0.9, .front = true}}};

// The chosen model comes first.
void add_if_hopeful(const Problem& problem, State state, FixLoss loss,
                    std::vector<Candidate>& pool) {
    const double score = score_of(problem, state, {.fixes = loss});
    if (!(score < pool.front().score + hopeless_score)) return;
    pool.push_back(converged(problem, std::move(state), loss));
}

void add_rivals_in_gap(const Problem& problem, const State& chosen, double x_m, std::size_t turns,
                       FixLoss loss, std::vector<Candidate>& pool) {
    std::vector<std::pair<double, State>> tried;
    for (std::size_t i = 0; i < turns; ++i) {
        NewBend bend = rival_turns[i];
        bend.x_m = x_m;
        State state = with_bend(chosen, bend, problem.runs[0]->x_end_m);
        const double cost = solve(problem, state, {.fixes = loss}, first_look);
        tried.emplace_back(cost, std::move(state));
    }
    std::stable_sort(tried.begin(), tried.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < std::min(kept_per_gap, tried.size()); ++i) {
        add_if_hopeful(problem, std::move(tried[i].second), loss, pool);
    }
}

// A copy without a bend, in which what follows it stays and what precedes it turns.
State without_bend_before(const Problem& problem, const State& state, std::size_t bend) {
    const BendUnknown& dropped = state.runs[0].bends[bend];
    State out = without_bend(state, bend);
    out.runs[0].heading0_rad += dropped.angle_rad;
    const auto there = [&](const State& at) {
        return RunLine(at.runs[0], place_of(problem, at, 0)).at(dropped.x_m);
    };
    out.runs[0].port_m += there(state) - there(out);
    return out;
}

// A bend on one side of a fix or on the other often explains as much; no small step leads past it.
void add_moved_past_fixes(const Problem& problem, const State& chosen, FixLoss loss,
                          std::vector<Candidate>& pool) {
    const std::vector<double> middles = gap_middles_m(*problem.runs[0]);
    const auto bends = static_cast<std::ptrdiff_t>(chosen.runs[0].bends.size());
    for (std::ptrdiff_t k = 0; k < bends; ++k) {
        const double x_m = chosen.runs[0].bends[static_cast<std::size_t>(k)].x_m;
        const auto own = std::ranges::min_element(
            middles, {}, [&](double middle) { return std::abs(middle - x_m); });
        for (const std::ptrdiff_t step : {-1, 1}) {
            const std::ptrdiff_t gap = own - middles.begin() + step;
            if (gap < 0 || gap >= std::ssize(middles)) continue;
            State moved = chosen;
            BendUnknown& bend = moved.runs[0].bends[static_cast<std::size_t>(k)];
            bend.x_m = middles[static_cast<std::size_t>(gap)];
            bend.likely.reset();
            solve(problem, moved, {.fixes = loss}, first_look);
            add_if_hopeful(problem, std::move(moved), loss, pool);
        }
    }
}

// Only at the end is the fix that was taken for good judged like the others.
Candidate believing(const Problem& problem, const State& chosen, std::size_t position,
                    FixLoss loss) {
    RunData data = *problem.runs[0];
    data.positions[position].held = true;
    Problem held = problem;
    held.runs = {&data};
    Candidate best = settled(held, chosen, loss);
    for (State& aimed : aimed_at_rejected(problem, chosen, most_bends)) {
        Candidate next = settled(held, std::move(aimed), loss);
        if (next.score < best.score) best = std::move(next);
    }
    best = with_missing_bends(held, std::move(best), loss);
    best = without_needless_bends(held, std::move(best), loss);
    return converged(problem, std::move(best.state), loss);
}

std::vector<Candidate> distinct(std::vector<Candidate> pool) {
    std::vector<Candidate> out;
    for (Candidate& model : pool) {
        const bool seen = std::any_of(out.begin(), out.end(),
                                      [&](const Candidate& other) { return alike(model, other); });
        if (!seen) out.push_back(std::move(model));
    }
    return out;
}

// A structure holds its end of the run when the rest of the job knows it within this.
constexpr double holds_end_sd_m = 1.0;

bool holds(const LoneRun& lone, int at) {
    const Eigen::MatrixXd covariance = lone.problem.shared.information.inverse();
    return covariance.block<2, 2>(at, at).trace() < holds_end_sd_m * holds_end_sd_m;
}

}  // namespace

ObservedStretch observed_stretch(const LoneRun& lone, FixLoss loss) {
    const RunData& data = *lone.problem.runs[0];
    ObservedStretch seen{data.x_end_m, 0.0};
    const auto see = [&](double x_m) {
        seen.first_x_m = std::min(seen.first_x_m, std::max(0.0, x_m));
        seen.last_x_m = std::max(seen.last_x_m, std::min(data.x_end_m, x_m));
    };
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    const auto see_good = [&](const auto& datum) {
        const bool out = loss == FixLoss::plain ? datum.rejected
                                                : state_of(datum, line).outlier_probability > 0.5;
        if (!out) see(datum.x_m);
    };
    for (const PositionDatum& datum : data.positions) see_good(datum);
    for (const HeadingDatum& datum : data.headings) see_good(datum);
    if (holds(lone, 0)) see(0.0);
    if (data.to_node && holds(lone, 2)) see(data.x_end_m);
    return seen;
}

std::vector<double> weights_of(const std::vector<Candidate>& pool) {
    const auto belief = [](const Candidate& model) {
        return model.score -
               margin_per_bend * static_cast<double>(model.state.runs[0].bends.size());
    };
    double least = belief(pool.front());
    for (const Candidate& model : pool) least = std::min(least, belief(model));
    std::vector<double> weights;
    double sum = 0.0;
    for (const Candidate& model : pool) {
        const double weight =
            std::isfinite(model.score) ? std::exp(-0.5 * (belief(model) - least)) : 0.0;
        weights.push_back(weight);
        sum += weight;
    }
    for (double& weight : weights) weight /= sum;
    return weights;
}

std::vector<Candidate> rival_models(const LoneRun& lone, FixLoss loss) {
    const Problem& problem = lone.problem;
    const RunModel& chosen = lone.state.runs[0];
    std::vector<Candidate> pool;
    // A rival may use a fix that the chosen model rejects, or the other way about, so the chosen
    // one is scored by its minimum under the same loss as they are.
    pool.push_back({lone.state, converged(problem, lone.state, loss).score});
    for (std::size_t k = 0; k < chosen.bends.size(); ++k) {
        pool.push_back(converged(problem, without_bend(lone.state, k), loss));
        pool.push_back(converged(problem, without_bend_before(problem, lone.state, k), loss));
    }
    if (chosen.bends.size() < most_bends && has_room_for_bends(problem.runs[0]->x_end_m)) {
        const ObservedStretch seen = observed_stretch(lone, loss);
        const std::vector<double> promising = promising_gaps_m(problem, lone.state);
        for (const double x : gap_middles_m(*problem.runs[0])) {
            if (x < seen.first_x_m || x > seen.last_x_m) continue;
            const bool pays = std::find(promising.begin(), promising.end(), x) != promising.end();
            const std::size_t turns = pays ? rival_turns.size() : small_turns;
            add_rivals_in_gap(problem, lone.state, x, turns, loss, pool);
        }
    }
    for (State& aimed : aimed_at_rejected(problem, lone.state, most_bends)) {
        pool.push_back(converged(problem, std::move(aimed), loss));
    }
    for (State& aimed : aimed_at_structures(problem, lone.state, most_bends)) {
        pool.push_back(converged(problem, std::move(aimed), loss));
    }
    add_moved_past_fixes(problem, lone.state, loss, pool);
    return distinct(std::move(pool));
}

void add_believers(const LoneRun& lone, FixLoss loss, std::vector<Candidate>& pool) {
    const RunData& data = *lone.problem.runs[0];
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    for (std::size_t i = 0; i < data.positions.size(); ++i) {
        if (!(state_of(data.positions[i], line).outlier_probability > 0.5)) continue;
        pool.push_back(believing(lone.problem, lone.state, i, loss));
    }
    pool = distinct(std::move(pool));
}

std::vector<Candidate> moved_along(const LoneRun& lone, FixLoss loss,
                                   const std::vector<Candidate>& pool) {
    double least = pool.front().score;
    for (const Candidate& model : pool) least = std::min(least, model.score);
    std::vector<Candidate> out{{lone.state, converged(lone.problem, lone.state, loss).score}};
    for (const Candidate& model : pool) {
        if (!(model.score < least + worth_moving_score)) continue;
        State state{lone.state.shared, model.state.runs};
        out.push_back(converged(lone.problem, std::move(state), loss));
    }
    return distinct(std::move(out));
}

}  // namespace sondeline::alignment
