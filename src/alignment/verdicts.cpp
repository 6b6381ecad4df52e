#include "alignment/verdicts.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "alignment/robust_loss.hpp"

namespace sondeline::alignment {
namespace {

// Believing a wrong position spoils the line, leaving out a good one only widens its bounds: a
// position is left out from a probability of 0.18 on. This and the next were set on invented jobs
// (docs/adjustment-figures.md).
constexpr double rejected_from_log_odds = -1.5;

// So many positions' worth of belief in `outlier_share` as what is usual.
constexpr double known_from = 20.0;

double log_of_sum(double a, double b) {
    const double larger = std::max(a, b);
    if (!std::isfinite(larger)) return larger;
    return larger + std::log1p(std::exp(std::min(a, b) - larger));
}

// ln P of the log odds given: −ln(1 + e^(−odds)).
double log_probability(double log_odds) {
    return -log_of_sum(0.0, -log_odds);
}

std::vector<double> log_odds_in(const LoneRun& lone, const State& state) {
    const RunLine line(state.runs[0], place_of(lone.problem, state, 0));
    std::vector<double> out;
    for (const PositionDatum& datum : lone.problem.runs[0]->positions) {
        out.push_back(state_of(datum, line).outlier_log_odds);
    }
    return out;
}

std::ptrdiff_t disagreements(const std::vector<double>& in_model, const std::vector<bool>& out) {
    std::ptrdiff_t count = 0;
    for (std::size_t i = 0; i < out.size(); ++i) count += (in_model[i] > 0.0) != out[i] ? 1 : 0;
    return count;
}

// A run's models and what they say of its positions.
struct Weighed {
    LoneRun lone;
    std::vector<Candidate> pool;
    std::vector<double> log_odds;  // of each position
};

// The log odds of a pool are for `outlier_share`; this is what another share adds to them.
double change_of_log_odds(double share) {
    return std::log(share / (1.0 - share)) - std::log(outlier_share / (1.0 - outlier_share));
}

void settle_run(const Weighed& run, double change, RunData& data, RunModel& model) {
    std::vector<bool> out;
    for (const double odds : run.log_odds) out.push_back(odds + change > rejected_from_log_odds);
    const Candidate* best = nullptr;
    std::ptrdiff_t fewest = 0;
    for (const Candidate& tried : run.pool) {
        const std::ptrdiff_t count = disagreements(log_odds_in(run.lone, tried.state), out);
        if (best && (count > fewest || (count == fewest && !(tried.score < best->score)))) continue;
        best = &tried;
        fewest = count;
    }
    model = best->state.runs[0];
    // A fix that is believed on average but far from this model would tear it.
    const std::vector<double> in_model = log_odds_in(run.lone, best->state);
    for (std::size_t i = 0; i < out.size(); ++i) {
        data.positions[i].rejected = out[i] || in_model[i] > 0.0;
    }
}

}  // namespace

std::vector<double> outlier_log_odds(const LoneRun& lone, const std::vector<Candidate>& pool) {
    const std::vector<double> weights = weights_of(pool);
    const auto never = -std::numeric_limits<double>::infinity();
    std::vector<double> wrong(lone.problem.runs[0]->positions.size(), never);
    std::vector<double> right = wrong;
    for (std::size_t m = 0; m < pool.size(); ++m) {
        if (!(weights[m] > 0.0)) continue;
        const std::vector<double> odds = log_odds_in(lone, pool[m].state);
        for (std::size_t i = 0; i < odds.size(); ++i) {
            const double weight = std::log(weights[m]);
            wrong[i] = log_of_sum(wrong[i], weight + log_probability(odds[i]));
            right[i] = log_of_sum(right[i], weight + log_probability(-odds[i]));
        }
    }
    for (std::size_t i = 0; i < wrong.size(); ++i) wrong[i] -= right[i];
    return wrong;
}

double share_wrong(const std::vector<double>& log_odds) {
    double wrong = known_from * outlier_share;
    for (const double odds : log_odds) wrong += std::exp(log_probability(odds));
    return wrong / (known_from + static_cast<double>(log_odds.size()));
}

std::vector<std::vector<Candidate>> settle_verdicts(NetworkData& data, Network& network) {
    const Linearised at = linearise(network.problem, network.state, {});
    std::vector<Weighed> runs;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        Weighed& run = runs.emplace_back(Weighed{.lone = lone_run(network, at, r)});
        run.pool = rival_models(run.lone, FixLoss::mixture);
        add_believers(run.lone, FixLoss::mixture, run.pool);
        run.log_odds = outlier_log_odds(run.lone, run.pool);
    }
    std::vector<double> of_all;
    for (const Weighed& run : runs) {
        of_all.insert(of_all.end(), run.log_odds.begin(), run.log_odds.end());
    }
    const double change = change_of_log_odds(share_wrong(of_all));
    std::vector<std::vector<Candidate>> pools;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        settle_run(runs[r], change, data.runs[r], network.state.runs[r]);
        pools.push_back(std::move(runs[r].pool));
    }
    return pools;
}

}  // namespace sondeline::alignment
