#include "alignment/unreached_ends.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "alignment/phrases.hpp"

namespace sondeline::alignment {
namespace {

constexpr double misses_sd = 3.0;
constexpr double explains = 18.0;
constexpr std::ptrdiff_t fewest_outliers = 2;
constexpr std::ptrdiff_t fewest_believed = 2;

NetworkData without_end(NetworkData data, std::size_t run) {
    data.runs[run].to_node.reset();
    data.runs[run].ends_elsewhere = true;
    return data;
}

std::ptrdiff_t outliers(const RunData& run, const RunLine& line) {
    return std::ranges::count_if(run.positions, [&](const PositionDatum& datum) {
        return state_of(datum, line).outlier_probability > 0.5;
    });
}

double miss_m(const RunData& run, const Network& network, std::size_t r) {
    const RunPlace place = place_of(network.problem, network.state, r);
    return (line_of(network, r).at(run.x_end_m) - place.to_m).norm();
}

bool suffers(const RunData& run, const Network& network, std::size_t r) {
    const auto count = static_cast<std::ptrdiff_t>(run.positions.size());
    if (!run.to_node || count < fewest_believed) return false;
    if (miss_m(run, network, r) > misses_sd * run.port_sd_to_m) return true;
    return many_outliers(run, line_of(network, r));
}

struct Unreached {
    std::size_t run = 0;
    double gain = explains;
};

std::optional<Unreached> most_gaining(const NetworkData& data, const Network& network) {
    std::optional<Unreached> best;
    for (std::size_t r = 0; r < data.runs.size(); ++r) {
        if (!suffers(data.runs[r], network, r)) continue;
        const NetworkData rest = without_end(data, r);
        const Network other = adjust_network(rest);
        const double gain = joint_score(network) - joint_score(other);
        if (gain < (best ? best->gain : explains) || !understood(rest.runs[r], line_of(other, r)))
            continue;
        best = Unreached{r, gain};
    }
    return best;
}

// `off_m`: how far from its structure the run now ends.
Finding finding_of(const Site& site, const RunData& run, int structure, double off_m) {
    const std::string& there = site.structures[structure].id.text;
    const bool taped = std::ranges::any_of(site.runs[run.run].vertical, [](const auto& row) {
        return row.kind == VerticalKind::taped_end;
    });
    return {Severity::problem, at_run(site.runs[run.run].id),
            fmt::format("The end of this run lies {} from {}, where {} at most is likely: by its "
                        "fixes and its counter it does not reach {}. It was not held to end "
                        "there{}.",
                        length_words(off_m, site.job_unit), there,
                        length_words(misses_sd * run.port_sd_to_m, site.job_unit), there,
                        taped ? ", and the tape there was not used" : ""),
            fmt::format("See whether the footage goes all the way to {}, or a clip is missing; "
                        "which structure the run meets; the counter at both ends; and the "
                        "structure's position.",
                        there)};
}

}  // namespace

bool many_outliers(const RunData& run, const RunLine& line) {
    const auto count = static_cast<std::ptrdiff_t>(run.positions.size());
    const std::ptrdiff_t wrong = outliers(run, line);
    return wrong >= fewest_outliers && 3 * wrong >= count;
}

bool understood(const RunData& run, const RunLine& line) {
    const auto count = static_cast<std::ptrdiff_t>(run.positions.size());
    const std::ptrdiff_t wrong = outliers(run, line);
    return count - wrong >= fewest_believed && 3 * wrong <= count;
}

double gain_without_end(const NetworkData& data, const Network& network, std::size_t run) {
    const NetworkData rest = without_end(data, run);
    return joint_score(network) - joint_score(adjust_network(rest));
}

void leave_out_unreached_ends(const Site& site, NetworkData& data, Network& network) {
    while (const auto found = most_gaining(data, network)) {
        const std::size_t r = found->run;
        const int node = *data.runs[r].to_node;
        data = without_end(std::move(data), r);
        network = adjust_network(data);
        const RunPlace place = place_of(network.problem, network.state, r);
        const Eigen::Vector2d there = network.state.shared.segment<2>(shared_of_node(node));
        const double off_m =
            (RunLine(network.state.runs[r], place).at(data.runs[r].x_end_m) - there).norm();
        if (const auto structure = data.nodes[static_cast<std::size_t>(node)].structure) {
            data.findings.push_back(finding_of(site, data.runs[r], *structure, off_m));
        }
    }
}

}  // namespace sondeline::alignment
