#include "alignment/swing_ties.hpp"

#include <cmath>

#include <Eigen/LU>
#include <fmt/format.h>

#include "alignment/phrases.hpp"

namespace sondeline::alignment {
namespace {

constexpr double decides = 9.0;
constexpr double near_baseline = 4.0;  // offsets under 4·√(σℓ): linear bounds fail

Eigen::Matrix2d linear_covariance(const TwoTapes& tapes, const Eigen::Vector2d& at,
                                  double half_apart_m) {
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
    for (const Eigen::Vector2d& reference : {tapes.reference1_m, tapes.reference2_m}) {
        const Eigen::Vector2d u = (at - reference).normalized();
        normal += u * u.transpose() / (tapes.sd_m * tapes.sd_m);
    }
    Eigen::Matrix2d covariance = normal.inverse();
    const double baseline = (tapes.reference2_m - tapes.reference1_m).norm();
    if (half_apart_m < near_baseline * std::sqrt(tapes.sd_m * baseline)) {
        const Eigen::Vector2d e = (tapes.reference2_m - tapes.reference1_m) / baseline;
        const Eigen::Vector2d n(-e.y(), e.x());
        covariance += half_apart_m * half_apart_m * n * n.transpose();
    }
    return covariance;
}

std::vector<std::size_t> tapes_from_known(const NetworkData& data, int node) {
    std::vector<std::size_t> tapes;
    for (std::size_t t = 0; t < data.ties.size(); ++t) {
        if (data.ties[t].point == node && data.nodes[data.ties[t].reference].surveyed) {
            tapes.push_back(t);
        }
    }
    return tapes;
}

// The same job with the two tapes replaced by one of the places they allow.
NetworkData placed_at(const NetworkData& data, int node, const Gaussian2& place,
                      const std::vector<std::size_t>& tapes) {
    NetworkData out = data;
    out.nodes[node].surveyed = place;
    out.ties.erase(out.ties.begin() + static_cast<std::ptrdiff_t>(tapes[1]));
    out.ties.erase(out.ties.begin() + static_cast<std::ptrdiff_t>(tapes[0]));
    return out;
}

void drop_tapes(NetworkData& data, int node) {
    std::erase_if(data.ties, [&](const TieTerm& tie) { return tie.point == node; });
}

void settle(const SiteStructure& structure, int node, NetworkData& data) {
    const std::vector<std::size_t> tapes = tapes_from_known(data, node);
    if (tapes.size() < 2) return;
    const TieTerm& first = data.ties[tapes[0]];
    const TieTerm& second = data.ties[tapes[1]];
    const auto places =
        both_places({data.nodes[first.reference].surveyed->mean_m,
                     data.nodes[second.reference].surveyed->mean_m, first.distance_m,
                     second.distance_m, std::max(first.sd_m, second.sd_m)});
    if (!places) {
        drop_tapes(data, node);
        data.findings.push_back(
            {Severity::caution, at_structure(structure.id),
             "The tapes to this structure do not meet, so they were not used.",
             "Measure both distances again, and a third to another reference."});
        return;
    }
    NetworkData left = placed_at(data, node, {places->left_m, places->left_covariance_m2}, tapes);
    NetworkData right =
        placed_at(data, node, {places->right_m, places->right_covariance_m2}, tapes);
    const double left_cost = mixture_cost(adjust_network(left));
    const double right_cost = mixture_cost(adjust_network(right));
    if (std::abs(left_cost - right_cost) > decides) {
        data = left_cost < right_cost ? std::move(left) : std::move(right);
        return;
    }
    drop_tapes(data, node);
    data.findings.push_back(
        {Severity::caution, at_structure(structure.id),
         "Its two tapes allow two places, and the runs do not tell which; they were not used.",
         "Fill in column side (left or right of the line from the first to the second reference), "
         "or tape a third distance."});
}

}  // namespace

std::optional<TwoPlaces> both_places(const TwoTapes& tapes) {
    const Eigen::Vector2d base = tapes.reference2_m - tapes.reference1_m;
    const double length = base.norm();
    if (!(length > 0.0)) return std::nullopt;
    const double d1 = tapes.distance1_m;
    const double d2 = tapes.distance2_m;
    const double along = (length * length + d1 * d1 - d2 * d2) / (2.0 * length);
    const double square = d1 * d1 - along * along;
    // At the baseline itself both places and their spread run together.
    if (!(square > tapes.sd_m * length)) return std::nullopt;
    const Eigen::Vector2d e = base / length;
    const Eigen::Vector2d n(-e.y(), e.x());
    const double offset = std::sqrt(square);
    TwoPlaces out;
    out.left_m = tapes.reference1_m + along * e + offset * n;
    out.right_m = tapes.reference1_m + along * e - offset * n;
    out.left_covariance_m2 = linear_covariance(tapes, out.left_m, offset);
    out.right_covariance_m2 = linear_covariance(tapes, out.right_m, offset);
    return out;
}

void settle_sides(const Site& site, NetworkData& data) {
    for (std::size_t i = 0; i < data.nodes.size(); ++i) {
        const Node& node = data.nodes[i];
        if (node.surveyed || !node.structure) continue;
        settle(site.structures[*node.structure], static_cast<int>(i), data);
    }
}

}  // namespace sondeline::alignment
