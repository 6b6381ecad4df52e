#include "alignment/bends.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

#include "alignment/aimed_bends.hpp"

namespace sondeline::alignment {
namespace {

constexpr double least_gain = 1e-6;  // in score, to count as falling
constexpr std::size_t smallest_tried = 3;
constexpr double merge_within_m = 3.0;
constexpr double least_gap_m = 0.6;
constexpr std::size_t kept_after_first_look = 12;
constexpr std::size_t kept_to_the_end = 4;
constexpr std::size_t least_fixes_for_curve = 4;
constexpr double margin_for_curve = 3.0;
constexpr double least_promise = 1.5;  // a bend costs 6 at the least

bool falls(const Candidate& next, const Candidate& best) {
    return next.score < best.score - least_gain;
}

std::vector<std::size_t> by_size(const std::vector<BendUnknown>& bends) {
    std::vector<std::size_t> order(bends.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return std::abs(bends[a].angle_rad) < std::abs(bends[b].angle_rad);
    });
    return order;
}

State merged(const State& state, std::size_t first, std::size_t second) {
    State out = state;
    std::vector<BendUnknown>& bends = out.runs[0].bends;
    BendUnknown& into = bends[first];
    const BendUnknown& from = bends[second];
    const double a = std::abs(into.angle_rad);
    const double b = std::abs(from.angle_rad);
    if (a + b > 0.0) into.x_m = (a * into.x_m + b * from.x_m) / (a + b);
    into.angle_rad += from.angle_rad;
    if (!into.likely) into.likely = from.likely;
    bends.erase(bends.begin() + static_cast<std::ptrdiff_t>(second));
    return out;
}

std::vector<State> simpler(const State& state) {
    std::vector<State> out;
    const std::vector<BendUnknown>& bends = state.runs[0].bends;
    const std::vector<std::size_t> order = by_size(bends);
    for (std::size_t i = 0; i < std::min(order.size(), smallest_tried); ++i) {
        out.push_back(without_bend(state, order[i]));
    }
    for (std::size_t a = 0; a < bends.size(); ++a) {
        for (std::size_t b = a + 1; b < bends.size(); ++b) {
            if (std::abs(bends[a].x_m - bends[b].x_m) < merge_within_m) {
                out.push_back(merged(state, a, b));
            }
        }
    }
    return out;
}

bool has_bend_at(const RunModel& model, const LikelyBend& likely) {
    return std::any_of(model.bends.begin(), model.bends.end(), [&](const BendUnknown& bend) {
        return bend.likely && bend.likely->x_m == likely.x_m;
    });
}

// What one step of least squares would lower the cost by; infinite when it cannot be told.
double gain_of_a_step(const Problem& problem, const State& state) {
    const Linearised at = linearise(problem, state, {.fixes = FixLoss::cauchy});
    Eigen::MatrixXd normal = at.runs[0].normal;
    Eigen::VectorXd gradient = at.runs[0].gradient;
    const Eigen::Index shared = at.shared_gradient.size();
    normal.bottomRightCorner(shared, shared) += at.shared_normal;
    gradient.tail(shared) += at.shared_gradient;
    const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> factor(normal);
    if (factor.info() != Eigen::Success) return std::numeric_limits<double>::infinity();
    factor.matrixL().solveInPlace(gradient);
    return gradient.squaredNorm();
}

std::vector<State> richer(const Problem& problem, const State& state) {
    const RunData& data = *problem.runs[0];
    std::vector<State> out;
    const auto place = [&](double x_m, std::optional<LikelyBend> likely) {
        for (const double angle : {-1.4, -0.6, 0.6, 1.4}) {
            for (const bool front : {false, true}) {
                out.push_back(with_bend(state, {x_m, angle, front, likely}, data.x_end_m));
            }
        }
    };
    for (const double x : promising_gaps_m(problem, state)) place(x, std::nullopt);
    for (State& aimed : aimed_at_rejected(problem, state, most_bends)) {
        out.push_back(std::move(aimed));
    }
    for (const LikelyBend& likely : data.likely_bends) {
        if (!has_bend_at(state.runs[0], likely)) place(likely.x_m, likely);
    }
    return out;
}

// Brings many states on by a few steps and keeps the most promising.
void keep_promising(const Problem& problem, std::vector<State>& states, const Losses& losses,
                    int steps, std::size_t keep) {
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < states.size(); ++i) {
        const double cost = solve(problem, states[i], losses, {.steps = steps, .least_gain = 1e-2});
        order.emplace_back(cost, i);
    }
    std::stable_sort(order.begin(), order.end());
    std::vector<State> kept;
    for (std::size_t i = 0; i < std::min(keep, order.size()); ++i) {
        kept.push_back(std::move(states[order[i].second]));
    }
    states = std::move(kept);
}

std::optional<Candidate> best_with_one_more(const Problem& problem, const State& state,
                                            FixLoss loss) {
    std::vector<State> states = richer(problem, state);
    const FixLoss seeking = loss == FixLoss::plain ? FixLoss::plain : FixLoss::cauchy;
    keep_promising(problem, states, {.fixes = seeking}, 2, kept_after_first_look);
    keep_promising(problem, states, {.fixes = seeking}, 2, kept_after_first_look);
    keep_promising(problem, states, {.fixes = loss}, 2, kept_to_the_end);
    std::optional<Candidate> best;
    for (State& tried : states) {
        Candidate next = converged(problem, std::move(tried), loss);
        if (!best || next.score < best->score) best = std::move(next);
    }
    return best;
}

// Pipe laid along a curve, when it explains the fixes clearly better than bends do.
Candidate curve_if_better(const Problem& problem, const std::vector<ChainStart>& chains,
                          Candidate best) {
    if (problem.runs[0]->positions.size() < least_fixes_for_curve) return best;
    if (best.state.runs[0].bends.empty()) return best;
    for (const ChainStart& chain : chains) {
        Candidate curve = settled(problem, chain.curve, FixLoss::mixture);
        if (curve.score + margin_for_curve < best.score) best = std::move(curve);
    }
    return best;
}

}  // namespace

State with_bend(const State& state, const NewBend& bend, double x_end_m) {
    State out = state;
    RunModel& model = out.runs[0];
    model.bends.push_back({.x_m = clamped_bend_x_m(bend.x_m, x_end_m),
                           .angle_rad = bend.angle_rad,
                           .likely = bend.likely});
    if (bend.front) model.heading0_rad -= bend.angle_rad;
    return out;
}

State without_bend(const State& state, std::size_t bend) {
    State out = state;
    std::vector<BendUnknown>& bends = out.runs[0].bends;
    bends.erase(bends.begin() + static_cast<std::ptrdiff_t>(bend));
    return out;
}

std::vector<double> gap_middles_m(const RunData& data) {
    std::vector<double> stations{0.0, data.x_end_m};
    const auto add = [&](double x_m) {
        if (x_m > 0.0 && x_m < data.x_end_m) stations.push_back(x_m);
    };
    for (const PositionDatum& datum : data.positions) add(datum.x_m);
    for (const HeadingDatum& datum : data.headings) add(datum.x_m);
    std::sort(stations.begin(), stations.end());
    std::vector<double> middles;
    for (std::size_t i = 1; i < stations.size(); ++i) {
        if (stations[i] - stations[i - 1] > least_gap_m) {
            middles.push_back(0.5 * (stations[i] + stations[i - 1]));
        }
    }
    return middles;
}

std::vector<double> promising_gaps_m(const Problem& problem, const State& state) {
    const RunData& data = *problem.runs[0];
    const double without = gain_of_a_step(problem, state);
    std::vector<double> out;
    for (const double x : gap_middles_m(data)) {
        const State bent = with_bend(state, {.x_m = x}, data.x_end_m);
        if (!(gain_of_a_step(problem, bent) < without + least_promise)) out.push_back(x);
    }
    return out;
}

Candidate without_needless_bends(const Problem& problem, Candidate best, FixLoss loss) {
    while (!best.state.runs[0].bends.empty()) {
        std::optional<Candidate> simplest;
        for (State& state : simpler(best.state)) {
            Candidate next = settled(problem, std::move(state), loss);
            if (!simplest || next.score < simplest->score) simplest = std::move(next);
        }
        if (!simplest || !falls(*simplest, best)) break;
        best = std::move(*simplest);
    }
    return best;
}

Candidate with_missing_bends(const Problem& problem, Candidate best, FixLoss loss) {
    if (!has_room_for_bends(problem.runs[0]->x_end_m)) return best;
    while (best.state.runs[0].bends.size() < most_bends) {
        std::optional<Candidate> next = best_with_one_more(problem, best.state, loss);
        if (!next || !falls(*next, best)) break;
        best = std::move(*next);
    }
    return best;
}

Candidate search_run(const Problem& problem, const State& guess, const KnownEnds& known) {
    std::vector<State> starts;
    const std::vector<ChainStart> chains = has_room_for_bends(problem.runs[0]->x_end_m)
                                               ? fitted_chains(problem, guess, known)
                                               : std::vector<ChainStart>{};
    for (std::size_t i = 0; i < std::min<std::size_t>(2, chains.size()); ++i) {
        starts.push_back(chains[i].bends);
    }
    for (State& state : straight_starts(problem, guess, known)) starts.push_back(std::move(state));
    std::optional<Candidate> best;
    std::vector<Candidate> begun;
    for (State& start : starts) {
        Candidate next = settled(problem, std::move(start), FixLoss::mixture);
        const bool again = std::any_of(begun.begin(), begun.end(),
                                       [&](const Candidate& other) { return alike(next, other); });
        if (again) continue;
        begun.push_back(next);
        next = without_needless_bends(problem, std::move(next), FixLoss::mixture);
        if (!best || next.score < best->score) best = std::move(next);
    }
    Candidate found = with_missing_bends(problem, std::move(*best), FixLoss::mixture);
    found = without_needless_bends(problem, std::move(found), FixLoss::mixture);
    return curve_if_better(problem, chains, std::move(found));
}

}  // namespace sondeline::alignment
