#include "bench/who_knows.hpp"

#include <limits>

#include <Eigen/Cholesky>

#include "alignment/accuracies.hpp"
#include "alignment/first_pass.hpp"
#include "bench/true_bends.hpp"

namespace sondeline::bench {
namespace {

using namespace alignment;

constexpr StepLimits to_the_end{.steps = 30, .least_gain = 1e-4};

// Fills in place: the network points into `data`.
struct Known {
    NetworkData data;
    Network network;

    explicit Known(const made::RandomJob& job) : data(observed_on(job.site)) {
        for (RunData& run : data.runs) {
            for (PositionDatum& datum : run.positions) {
                datum.rejected = job.wrong_fix[static_cast<std::size_t>(datum.fix)];
            }
        }
        network = begun(job);
        solve(network.problem, network.state, {.fixes = FixLoss::plain}, to_the_end);
        orient_reading_errors(network, data);
        solve(network.problem, network.state, {.fixes = FixLoss::plain}, to_the_end);
    }

  private:
    Network begun(const made::RandomJob& job) {
        Network out = first_pass(data);
        for (std::size_t r = 0; r < data.runs.size(); ++r) {
            const auto run = static_cast<std::size_t>(data.runs[r].run);
            out.state.runs[r] = true_model(job.pipes[run], data.runs[r].x_end_m);
        }
        for (std::size_t i = 0; i < job.true_structures.size(); ++i) {
            const std::optional<int> node = data.node_of_structure[i];
            if (!node) continue;
            const PlanPoint& at = job.true_structures[i];
            out.state.shared.segment<2>(shared_of_node(*node)) = Eigen::Vector2d(at.e_m, at.n_m);
        }
        return out;
    }
};

struct Fitted {
    State state;
    double value = std::numeric_limits<double>::infinity();  // −2 ln of the evidence
};

Fitted fitted(const Problem& problem, State state) {
    constexpr Losses losses{.fixes = FixLoss::plain};
    Fitted out;
    solve(problem, state, losses, to_the_end);
    const Linearised at = linearise(problem, state, losses);
    Eigen::MatrixXd normal = at.runs[0].normal;
    normal.bottomRightCorner(at.shared_normal.rows(), at.shared_normal.cols()) += at.shared_normal;
    const Eigen::LLT<Eigen::MatrixXd> factor(normal);
    if (factor.info() == Eigen::Success) {
        out.value = at.cost + 2.0 * factor.matrixLLT().diagonal().array().log().sum();
    }
    out.state = std::move(state);
    return out;
}

double misfit(const LoneRun& lone, std::size_t position, const RunModel& truth) {
    RunData data = *lone.problem.runs[0];
    Problem problem = lone.problem;
    problem.runs = {&data};
    PositionDatum& datum = data.positions[position];
    datum.rejected = true;
    const Fitted without = fitted(problem, lone.state);
    datum.rejected = false;
    Fitted with = fitted(problem, without.state);
    State from_truth = lone.state;
    from_truth.runs = {truth};
    for (State& begin : std::array{lone.state, std::move(from_truth)}) {
        Fitted other = fitted(problem, std::move(begin));
        if (other.value < with.value) with = std::move(other);
    }
    const double log_whitening = datum.whitening.diagonal().array().log().sum();
    return with.value - without.value + 2.0 * std::log(2.0 * std::numbers::pi) -
           2.0 * log_whitening;
}

}  // namespace

std::vector<std::vector<PlanPoint>> lines_of_who_knows(
    const made::RandomJob& job, const std::vector<std::vector<double>>& x_m) {
    const Known known(job);
    std::vector<std::vector<PlanPoint>> out(job.site.runs.size());
    for (std::size_t r = 0; r < known.data.runs.size(); ++r) {
        const RunLine line(known.network.state.runs[r],
                           place_of(known.network.problem, known.network.state, r));
        const auto run = static_cast<std::size_t>(known.data.runs[r].run);
        for (const double x : x_m[run]) {
            const Eigen::Vector2d p = line.at(x);
            out[run].push_back({p.x(), p.y()});
        }
    }
    return out;
}

std::vector<std::optional<double>> misfits_of_who_knows(const made::RandomJob& job) {
    const Known known(job);
    std::vector<std::optional<double>> out(job.site.fixes.size());
    const Linearised at =
        linearise(known.network.problem, known.network.state, {.fixes = FixLoss::plain});
    for (std::size_t r = 0; r < known.data.runs.size(); ++r) {
        const LoneRun lone = lone_run(known.network, at, r);
        const RunModel truth =
            true_model(job.pipes[static_cast<std::size_t>(known.data.runs[r].run)],
                       known.data.runs[r].x_end_m);
        for (std::size_t i = 0; i < known.data.runs[r].positions.size(); ++i) {
            out[static_cast<std::size_t>(known.data.runs[r].positions[i].fix)] =
                misfit(lone, i, truth);
        }
    }
    return out;
}

}  // namespace sondeline::bench
