#include "bench/least_error.hpp"

#include <algorithm>

#include "alignment/accuracies.hpp"
#include "alignment/covariance.hpp"
#include "alignment/first_pass.hpp"
#include "bench/true_bends.hpp"

namespace sondeline::bench {
namespace {

using namespace alignment;

Site without_wrong_fixes(const made::RandomJob& job) {
    Site site = job.site;
    for (std::size_t i = 0; i < site.fixes.size(); ++i) {
        if (!job.wrong_fix[i]) continue;
        site.fixes[i].placing = FixPlacing::unplaced;
    }
    return site;
}

}  // namespace

int least_positions_on_a_leg(const made::RandomJob& job, std::size_t run) {
    const made::TruePipe& pipe = job.pipes[run];
    std::vector<int> legs(pipe.bends.size() + 1, 0);
    for (std::size_t i = 0; i < job.site.fixes.size(); ++i) {
        const SiteFix& fix = job.site.fixes[i];
        if (fix.run != static_cast<int>(run) || job.wrong_fix[i]) continue;
        const auto leg = std::count_if(
            pipe.bends.begin(), pipe.bends.end(),
            [&](const made::TrueBend& bend) { return pipe.counter_at(bend.s_m) < fix.x_m; });
        ++legs[static_cast<std::size_t>(leg)];
    }
    const auto surveyed = [&](std::optional<int> structure) {
        return structure && job.site.structures[*structure].surveyed ? 1 : 0;
    };
    legs.front() += surveyed(job.site.runs[run].from);
    legs.back() += surveyed(job.site.runs[run].to);
    return *std::min_element(legs.begin(), legs.end());
}

std::vector<std::vector<double>> least_squares_m2(const made::RandomJob& job,
                                                  const std::vector<std::vector<double>>& x_m) {
    const Site site = without_wrong_fixes(job);
    NetworkData data = observed_on(site);
    Network network = first_pass(data);
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        network.state.runs[r] = true_model(job.pipes[data.runs[r].run], data.runs[r].x_end_m);
    }
    orient_reading_errors(network, data);
    const Linearised at = linearise(network.problem, network.state, {.fixes = FixLoss::plain});
    std::vector<std::vector<double>> out(job.site.runs.size());
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const auto run = static_cast<std::size_t>(data.runs[r].run);
        if (x_m[run].empty()) continue;
        LoneRun lone = lone_run(network, at, r);
        const auto spread = own_spread(lone, x_m[run], FixLoss::plain);
        if (!spread) continue;
        for (std::size_t i = 0; i < x_m[run].size(); ++i) {
            const auto row = static_cast<Eigen::Index>(2 * i);
            out[run].push_back(spread->points.block<2, 2>(row, row).trace());
        }
    }
    return out;
}

}  // namespace sondeline::bench
