#include "bench/true_bends.hpp"

#include "alignment/accuracies.hpp"

namespace sondeline::bench {

using namespace alignment;

RunModel true_model(const made::TruePipe& pipe, double x_end_m) {
    RunModel model = straight_run(x_end_m, 3.0, stiff_joint_sd_rad, pipe.heading_rad.front());
    for (const made::TrueBend& bend : pipe.bends) {
        model.bends.push_back({.x_m = clamped_bend_x_m(pipe.counter_at(bend.s_m), x_end_m),
                               .angle_rad = bend.angle_rad,
                               .slip_m = bend.slip_m});
    }
    return model;
}

std::vector<BendScores> bend_scores(const made::RandomJob& job) {
    NetworkData data = observed_on(job.site);
    Network network = adjust_network(data);
    orient_reading_errors(network, data);
    if (use_accuracies(judged_accuracies(network), data)) reconsider_bends(data, network);
    const Linearised at = linearise(network.problem, network.state, {});
    std::vector<BendScores> out;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const auto run = static_cast<std::size_t>(data.runs[r].run);
        const LoneRun lone = lone_run(network, at, r);
        State truth = lone.state;
        truth.runs = {true_model(job.pipes[run], data.runs[r].x_end_m)};
        State held = truth;
        const double plain = converged(lone.problem, std::move(truth), FixLoss::mixture).score;
        const double settling = settled(lone.problem, std::move(held), FixLoss::mixture).score;
        out.push_back({.run = run,
                       .chosen = converged(lone.problem, lone.state, FixLoss::mixture).score,
                       .truth = std::min(plain, settling),
                       .chosen_bends = lone.state.runs[0].bends.size()});
    }
    return out;
}

}  // namespace sondeline::bench
