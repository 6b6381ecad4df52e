#include "alignment/network.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include "alignment/first_pass.hpp"

namespace sondeline::alignment {
namespace {

constexpr double least_gain = 1e-6;
constexpr int most_sweeps = 2;
constexpr StepLimits joint_limits{.steps = 40, .least_gain = 1e-4};
constexpr StepLimits final_limits{.steps = 100, .least_gain = 1e-10};

// Normal matrix and gradient about the shared unknowns, runs eliminated.
struct SharedNormal {
    Eigen::MatrixXd normal;
    Eigen::VectorXd gradient;
};

SharedNormal shared_normal(const Network& network, const Linearised& at,
                           std::optional<std::size_t> without) {
    SharedNormal out{at.shared_normal, at.shared_gradient};
    for (std::size_t r = 0; r < at.runs.size(); ++r) {
        if (r == without) continue;
        const std::optional<Reduced> run = reduce(at.runs[r], 0.0);
        if (!run) continue;
        const SharedIndex& index = network.problem.shared_of_run[r];
        const int count = at.runs[r].columns.shared;
        for (int i = 0; i < count; ++i) {
            out.gradient(index[i]) += run->gradient(i);
            for (int j = 0; j < count; ++j) {
                out.normal(index[i], index[j]) += run->normal(i, j);
            }
        }
    }
    return out;
}

// A run without an end structure never reads the entries of one.
bool reads_shared(const RunData& data, int i) {
    return data.to_node || i < 2 || i > 3;
}

std::size_t rejected_now(const RunData& data, const RunLine& line) {
    std::size_t count = 0;
    for (const PositionDatum& datum : data.positions) {
        if (state_of(datum, line).outlier_probability > 0.5) ++count;
    }
    return count;
}

// The run's best model when the rest of the job stands as `lone` says.
Candidate reconsidered(const LoneRun& lone) {
    const RunData& data = *lone.problem.runs[0];
    const RunLine line(lone.state.runs[0], place_of(lone.problem, lone.state, 0));
    if (3 * rejected_now(data, line) >= data.positions.size() && !data.positions.empty()) {
        return search_run(lone.problem, lone.state,
                          {.start = true, .end = data.to_node.has_value()});
    }
    Candidate best = converged(lone.problem, lone.state, FixLoss::mixture);
    if (rejected_now(data, line) > 0) {
        Candidate held = settled(lone.problem, lone.state, FixLoss::mixture);
        if (held.score < best.score) best = std::move(held);
    }
    best = without_needless_bends(lone.problem, std::move(best), FixLoss::mixture);
    best = with_missing_bends(lone.problem, std::move(best), FixLoss::mixture);
    return best;
}

// The shared unknowns of the job when run `run` puts its own where `found` has them: the others go
// where they are then most probable.
Eigen::VectorXd shared_with(const Network& network, const Linearised& at, std::size_t run,
                            const State& found) {
    const SharedNormal others = shared_normal(network, at, run);
    const Eigen::LLT<Eigen::MatrixXd> factor(others.normal);
    const Eigen::VectorXd mean = network.state.shared - factor.solve(others.gradient);
    const SharedIndex& index = network.problem.shared_of_run[run];
    std::vector<int> local;
    for (int i = 0; i < at.runs[run].columns.shared; ++i) {
        if (reads_shared(*network.problem.runs[run], i)) local.push_back(i);
    }
    const auto count = static_cast<Eigen::Index>(local.size());
    Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(mean.size(), count);
    Eigen::VectorXd moved(count);
    for (Eigen::Index i = 0; i < count; ++i) {
        unit(index[local[i]], i) = 1.0;
        moved(i) = found.shared(local[i]) - mean(index[local[i]]);
    }
    const Eigen::MatrixXd covariance = factor.solve(unit);
    return mean + covariance * (unit.transpose() * covariance).ldlt().solve(moved);
}

// The job with this model of a run, and the other runs following where it pulls what they share.
State followed(const Network& network, const Linearised& at, std::size_t run, const State& found) {
    State out = network.state;
    out.shared = shared_with(network, at, run, found);
    const Eigen::VectorXd moved = out.shared - network.state.shared;
    for (std::size_t r = 0; r < out.runs.size(); ++r) {
        const std::optional<Reduced> reduced = reduce(at.runs[r], 0.0);
        if (r == run || !reduced) continue;
        SharedVector local(at.runs[r].columns.shared);
        for (int i = 0; i < local.size(); ++i)
            local(i) = moved(network.problem.shared_of_run[r][i]);
        apply_step(out.runs[r], reduced->own_free - reduced->own_by_shared * local,
                   network.problem.runs[r]->x_end_m);
    }
    out.runs[run] = found.runs[0];
    return out;
}

// One pass over all runs; true when any run's model changed.
bool sweep(Network& network, double& score) {
    bool changed = false;
    for (std::size_t r = 0; r < network.problem.runs.size(); ++r) {
        const Linearised at = linearise(network.problem, network.state, {});
        const LoneRun lone = lone_run(network, at, r);
        const double before = converged(lone.problem, lone.state, FixLoss::mixture).score;
        const Candidate found = reconsidered(lone);
        if (found.score > before - 0.01) continue;
        // Where the shared unknowns stand now the model may find none of its fixes.
        State stayed = network.state;
        stayed.runs[r] = found.state.runs[0];
        for (State& state : std::array{std::move(stayed), followed(network, at, r, found.state)}) {
            Network tried = network;
            tried.state = std::move(state);
            solve(tried.problem, tried.state, {}, joint_limits);
            const double next = joint_score(tried);
            if (!(next < score - least_gain)) continue;
            network = std::move(tried);
            score = next;
            changed = true;
        }
    }
    return changed;
}

}  // namespace

RunLine line_of(const Network& network, std::size_t run) {
    return {network.state.runs[run], place_of(network.problem, network.state, run)};
}

bool others_meet_start(const NetworkData& data, std::size_t run) {
    const int node = data.runs[run].from_node;
    for (std::size_t other = 0; other < data.runs.size(); ++other) {
        const RunData& met = data.runs[other];
        if (other != run && (met.from_node == node || met.to_node == node)) return true;
    }
    return false;
}

int shared_of_node(int node) {
    return 2 * node;
}

int shared_of_reel(const NetworkData& data, int reel) {
    return 2 * static_cast<int>(data.nodes.size()) + reel;
}

int shared_of_receiver(const NetworkData& data, int receiver) {
    return shared_of_reel(data, static_cast<int>(data.reels.size())) + 2 * receiver;
}

Network adjust_network(const NetworkData& data) {
    Network network = first_pass(data);
    solve(network.problem, network.state, {.fixes = FixLoss::mixture}, joint_limits);
    reconsider_bends(data, network);
    return network;
}

void reconsider_bends(const NetworkData& data, Network& network) {
    if (data.runs.empty()) return;
    solve(network.problem, network.state, {.fixes = FixLoss::mixture}, joint_limits);
    double score = joint_score(network);
    for (int i = 0; i < most_sweeps; ++i) {
        if (!sweep(network, score)) break;
    }
}

void finish_plain(Network& network) {
    solve(network.problem, network.state, {.fixes = FixLoss::plain}, final_limits);
}

double joint_score(const Network& network) {
    return score_of(network.problem, network.state, {.fixes = FixLoss::mixture});
}

double mixture_cost(const Network& network) {
    return total_cost(network.problem, network.state, {.fixes = FixLoss::mixture});
}

Eigen::MatrixXd shared_covariance(const Network& network, const Linearised& at,
                                  std::optional<std::size_t> without) {
    const SharedNormal shared = shared_normal(network, at, without);
    const auto n = shared.normal.rows();
    return shared.normal.llt().solve(Eigen::MatrixXd::Identity(n, n));
}

LoneRun lone_run(const Network& network, const Linearised& at, std::size_t run) {
    const SharedNormal others = shared_normal(network, at, run);
    const auto n = others.normal.rows();
    const Eigen::LLT<Eigen::MatrixXd> factor(others.normal);
    const Eigen::MatrixXd covariance = factor.solve(Eigen::MatrixXd::Identity(n, n));
    const Eigen::VectorXd mean = network.state.shared - factor.solve(others.gradient);
    const SharedIndex& index = network.problem.shared_of_run[run];
    const RunData& data = *network.problem.runs[run];
    LoneRun lone;
    lone.problem.runs = {&data};
    lone.problem.shared_of_run = {alone_index};
    SharedTerms& terms = lone.problem.shared;
    const int count = at.runs[run].columns.shared;
    Eigen::MatrixXd local = Eigen::MatrixXd::Identity(count, count);
    terms.mean.setZero(count);
    lone.state.shared.setZero(count);
    for (int i = 0; i < count; ++i) {
        if (!reads_shared(data, i)) continue;
        terms.mean(i) = mean(index[i]);
        lone.state.shared(i) = network.state.shared(index[i]);
        for (int j = 0; j < count; ++j) {
            if (reads_shared(data, j)) local(i, j) = covariance(index[i], index[j]);
        }
    }
    terms.information = local.inverse();
    terms.information = 0.5 * (terms.information + terms.information.transpose()).eval();
    lone.state.runs = {network.state.runs[run]};
    return lone;
}

}  // namespace sondeline::alignment
