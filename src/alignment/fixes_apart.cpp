#include "alignment/fixes_apart.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"

namespace sondeline::alignment {
namespace {

constexpr double shift_sd_m = 3.0;
constexpr double explains = 30.0;
constexpr double misses_sd = 3.0;
constexpr double telling_m = 0.3;
constexpr std::ptrdiff_t fewest_suffering = 2;
constexpr std::ptrdiff_t fewest_surveyed = 3;

// Its port, its structures' own surveys or its way to the first fix contradict the run.
bool suffers(const NetworkData& data, const Network& network, std::size_t r) {
    const RunData& run = data.runs[r];
    const RunPlace place = place_of(network.problem, network.state, r);
    const auto off = [&](int node, const Eigen::Vector2d& at_m) {
        const auto& surveyed = data.nodes[static_cast<std::size_t>(node)].surveyed;
        if (!surveyed) return false;
        return (at_m - surveyed->mean_m).norm() >
               misses_sd * std::sqrt(surveyed->covariance_m2.trace());
    };
    if (off(run.from_node, place.from_m)) return true;
    if (run.to_node && off(*run.to_node, place.to_m)) return true;
    const RunModel& model = network.state.runs[r];
    if (model.port_m.norm() > misses_sd * run.port_sd_from_m) return true;
    const RunLine line(model, place);
    if (run.to_node && (line.at(run.x_end_m) - place.to_m).norm() > misses_sd * run.port_sd_to_m) {
        return true;
    }
    if (run.positions.empty()) return false;
    const PositionDatum& first = run.positions.front();
    const double way_m = (first.at_m - place.from_m).norm();
    return std::abs(first.x_m * run.plan_factor - way_m) > telling_m;
}

NetworkData with_common_shift(NetworkData data) {
    data.receivers_m = {shift_sd_m};
    for (RunData& run : data.runs) {
        run.receiver = 0;
        for (PositionDatum& datum : run.positions) datum.shares_offset = true;
    }
    return data;
}

NetworkData moved(NetworkData data, const Eigen::Vector2d& shift_m) {
    for (RunData& run : data.runs) {
        for (PositionDatum& datum : run.positions) datum.at_m -= shift_m;
    }
    data.common_offset_m = shift_m.norm() / ellipse_95;
    data.shift_taken_off = true;
    return data;
}

Finding finding_of(const Site& site, const Eigen::Vector2d& shift_m) {
    return {Severity::problem,
            {},
            fmt::format("All fixes lie {} from where the surveyed structures put the pipes, all of "
                        "them towards {:.0f}° of grid north. That was taken off, so that the map "
                        "fits its structures; which of the two are off cannot be told, and the "
                        "whole map may lie as far off.",
                        length_words(shift_m.norm(), site.job_unit),
                        directed(std::atan2(shift_m.x(), shift_m.y())).rad / degree),
            "Take a structure's position with the receiver of the fixes and compare. Look whether "
            "both are in the same system, datum and foot, and what the base stood on.",
            Consequence::none};
}

}  // namespace

void take_off_common_shift(const Site& site, NetworkData& data, Network& network) {
    if (!data.receivers_m.empty() || data.common_offset_m) return;
    const auto surveyed = std::ranges::count_if(
        data.nodes, [](const Node& node) { return node.surveyed && node.structure; });
    if (surveyed < fewest_surveyed) return;
    std::ptrdiff_t suffering = 0;
    for (std::size_t r = 0; r < data.runs.size(); ++r) suffering += suffers(data, network, r);
    if (suffering < fewest_suffering) return;
    const NetworkData apart = with_common_shift(data);
    const Network other = adjust_network(apart);
    if (joint_score(network) - joint_score(other) < explains) return;
    const Eigen::Vector2d shift_m = other.state.shared.segment<2>(shared_of_receiver(apart, 0));
    data = moved(std::move(data), shift_m);
    network = adjust_network(data);
    data.findings.push_back(finding_of(site, shift_m));
}

}  // namespace sondeline::alignment
