#include "alignment/accuracies.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace sondeline::alignment {
namespace {

constexpr double prior_weight = 8.0;  // observations' worth of belief in what is stated
constexpr double calls_for_a_look = 1.3;

// Fixes beyond what 99 % of good ones stay within have no say: a wrong fix to which the line was
// drawn keeps just inside of what is rejected, and counted whole it would widen what is believed of
// all the others until more wrong ones pass.
constexpr double cut_s = 9.210340;  // −2 ln 0.01, of two normal components
constexpr int most_rounds = 50;

// What squares below the cut c are on average over what all are: of an exponential distribution
// 1 − (c/2)/(e^(c/2) − 1).
double mean_below_cut() {
    return 1.0 - 0.5 * cut_s / std::expm1(0.5 * cut_s);
}

double factor_in_use(const PositionDatum& datum) {
    return 2.0 * datum.sd_m * datum.sd_m / datum.covariance_m2.trace();
}

// The factor under which the squares below the cut are as large as they should be: the first that
// is met from the stated accuracy on.
AccuracyGroup judged(double stated_m, const std::vector<double>& squares, double unknowns_per_fix) {
    AccuracyGroup out{.stated_m = stated_m};
    for (int round = 0; round < most_rounds; ++round) {
        double sum = 0.0;
        int fixes = 0;
        for (const double square : squares) {
            if (!(square <= cut_s * out.variance_factor)) continue;
            sum += square;
            ++fixes;
        }
        if (fixes == out.fixes) break;
        out.fixes = fixes;
        const double effective =
            mean_below_cut() * std::max((2.0 - unknowns_per_fix) * fixes, 0.5 * fixes);
        out.variance_factor = (prior_weight + sum) / (prior_weight + effective);
        out.scatter = std::sqrt(sum / effective);
    }
    return out;
}

}  // namespace

std::vector<AccuracyGroup> judged_accuracies(const Network& network) {
    std::map<double, std::vector<double>> squares;  // standardised by the covariance as stated
    double unknowns = 0.0;
    int all = 0;
    for (std::size_t r = 0; r < network.problem.runs.size(); ++r) {
        const RunData& run = *network.problem.runs[r];
        const RunLine line(network.state.runs[r], place_of(network.problem, network.state, r));
        for (const PositionDatum& datum : run.positions) {
            squares[datum.stated_m].push_back(state_of(datum, line).s * factor_in_use(datum));
            ++all;
        }
        unknowns += 3.0 + 2.0 * static_cast<double>(network.state.runs[r].bends.size());
    }
    std::vector<AccuracyGroup> out;
    out.reserve(squares.size());
    for (const auto& [stated_m, of_group] : squares) {
        out.push_back(judged(stated_m, of_group, unknowns / all));
    }
    return out;
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
