#include "alignment/accuracies.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sondeline::alignment {
namespace {

constexpr double prior_weight = 8.0;  // observations' worth of belief in what is stated
constexpr double calls_for_a_look = 1.3;

struct Sums {
    double squares = 0.0;  // standardised by the covariance as stated
    int fixes = 0;
};

double factor_in_use(const PositionDatum& datum) {
    return 2.0 * datum.sd_m * datum.sd_m / datum.covariance_m2.trace();
}

}  // namespace

std::vector<AccuracyGroup> judged_accuracies(const Network& network) {
    std::map<double, Sums> sums;
    double unknowns = 0.0;
    int all = 0;
    for (std::size_t r = 0; r < network.problem.runs.size(); ++r) {
        const RunData& run = *network.problem.runs[r];
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (const PositionDatum& datum : run.positions) {
            const FixState state = state_of(datum, line);
            if (state.outlier_probability >= 0.5) continue;
            Sums& group = sums[datum.stated_m];
            group.squares += state.s * factor_in_use(datum);
            ++group.fixes;
            ++all;
        }
        unknowns += 3.0 + 2.0 * static_cast<double>(network.state.runs[r].bends.size());
    }
    std::vector<AccuracyGroup> groups;
    for (const auto& [stated, group] : sums) {
        const double n = group.fixes;
        const double effective = std::max(2.0 * n - unknowns * n / all, 0.5 * n);
        groups.push_back(
            {.stated_m = stated,
             .fixes = group.fixes,
             .variance_factor = (prior_weight + group.squares) / (prior_weight + effective),
             .scatter = std::sqrt(group.squares / effective)});
    }
    return groups;
}

bool use_accuracies(const std::vector<AccuracyGroup>& groups, NetworkData& data) {
    bool look = false;
    for (RunData& run : data.runs) {
        for (PositionDatum& datum : run.positions) {
            const auto group = std::find_if(groups.begin(), groups.end(), [&](const auto& g) {
                return g.stated_m == datum.stated_m;
            });
            if (group == groups.end()) continue;
            const double change = group->variance_factor / factor_in_use(datum);
            look = look || change > calls_for_a_look || change < 1.0 / calls_for_a_look;
            use_variance_factor(datum, group->variance_factor);
        }
    }
    return look;
}

void allow_for_shared_errors(NetworkData& data, double factor) {
    for (RunData& run : data.runs) {
        for (PositionDatum& datum : run.positions) {
            use_variance_factor(datum, factor * factor_in_use(datum));
        }
    }
}

void orient_reading_errors(const Network& network, NetworkData& data) {
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (PositionDatum& datum : data.runs[r].positions) {
            const double factor = factor_in_use(datum);
            add_reading_error(datum, line.mean_heading_rad(datum.x_m));
            use_variance_factor(datum, factor);
        }
    }
}

}  // namespace sondeline::alignment
