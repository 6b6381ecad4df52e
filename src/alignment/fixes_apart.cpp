#include "alignment/fixes_apart.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "alignment/placement.hpp"
#include "terms/quantile.hpp"

namespace sondeline::alignment {
namespace {

constexpr double shift_sd_m = 3.0;
constexpr double explains = 30.0;
constexpr double telling_m = 0.3;
constexpr double alike_m = 0.25;
constexpr double in_sds = 2.0;
constexpr std::ptrdiff_t fewest_surveyed = 3;
constexpr std::size_t fewest_ends = 3;

struct Miss {
    Eigen::Vector2d by_m;
    double sd_m = 0.0;
};

// By how much the way through two positions, gone on straight, misses a surveyed structure.
std::optional<Miss> miss_of(const NetworkData& data, int node, const PositionDatum& near,
                            const PositionDatum& next, double x_m) {
    const auto& surveyed = data.nodes[static_cast<std::size_t>(node)].surveyed;
    const double between_m = next.x_m - near.x_m;
    if (!surveyed || !(std::abs(between_m) > telling_m)) return std::nullopt;
    const double share = (x_m - near.x_m) / between_m;
    const Eigen::Vector2d at_m = near.at_m + share * (next.at_m - near.at_m);
    return Miss{at_m - surveyed->mean_m, near.sd_m * std::hypot(1.0 - share, share)};
}

std::vector<Miss> misses_at_ends(const NetworkData& data) {
    std::vector<Miss> out;
    const auto add = [&](const std::optional<Miss>& miss) {
        if (miss) out.push_back(*miss);
    };
    for (const RunData& run : data.runs) {
        const auto& at = run.positions;
        if (at.size() < 2) continue;
        add(miss_of(data, run.from_node, at[0], at[1], 0.0));
        if (!run.to_node) continue;
        add(miss_of(data, *run.to_node, at[at.size() - 1], at[at.size() - 2], run.x_end_m));
    }
    return out;
}

// Whether most ends miss their structures alike: cheap, and spares an adjustment for most jobs.
bool may_be_apart(const NetworkData& data) {
    const std::vector<Miss> misses = misses_at_ends(data);
    if (misses.size() < fewest_ends) return false;
    std::vector<double> e;
    std::vector<double> n;
    for (const Miss& miss : misses) {
        e.push_back(miss.by_m.x());
        n.push_back(miss.by_m.y());
    }
    const Eigen::Vector2d middle_m(quantile(e, 0.5), quantile(n, 0.5));
    const auto alike = std::ranges::count_if(misses, [&](const Miss& miss) {
        return (miss.by_m - middle_m).norm() < std::max(alike_m, in_sds * miss.sd_m) &&
               miss.by_m.norm() > std::max(telling_m, in_sds * miss.sd_m);
    });
    return middle_m.norm() > telling_m && 2 * alike >= static_cast<std::ptrdiff_t>(misses.size());
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

Finding finding_of(const Site& site, const Eigen::Vector2d& shift_m, double sd_m) {
    return {Severity::problem,
            {},
            fmt::format("All fixes lie {} (give or take {}) from where the surveyed structures put "
                        "the pipes, all of them towards {:.0f}° of grid north. That was taken off, "
                        "so that the map "
                        "fits its structures; which of the two are off cannot be told, and the "
                        "whole map may lie as far off.",
                        length_words(shift_m.norm(), site.job_unit),
                        length_words(ellipse_95 * sd_m, site.job_unit),
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
    if (!may_be_apart(data)) return;
    const NetworkData apart = with_common_shift(data);
    const Network other = adjust_network(apart);
    if (joint_score(network) - joint_score(other) < explains) return;
    const int at = shared_of_receiver(apart, 0);
    const Eigen::Vector2d shift_m = other.state.shared.segment<2>(at);
    const Eigen::MatrixXd covariance =
        shared_covariance(other, linearise(other.problem, other.state, {}));
    const double sd_m = long_axis_m(covariance.block<2, 2>(at, at));
    data = moved(std::move(data), shift_m);
    network = adjust_network(data);
    data.findings.push_back(finding_of(site, shift_m, sd_m));
}

}  // namespace sondeline::alignment
