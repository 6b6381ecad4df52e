#include "footage/water/lens_lean.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "footage/water/water_look.hpp"
#include "terms/quantile.hpp"

namespace sondeline {
namespace {

// Lean as one half of the columns shows it.
std::optional<cv::Point2d> lean_of_half(const WallPassing& passing,
                                        std::array<bool, flow_sectors> used, std::size_t half) {
    constexpr DistanceFit kFit{0.5F, 0.1};
    constexpr double kOff = 0.2;  // of the usual distance: not on the wall
    std::array<Passed, flow_sectors> passed{};
    for (std::size_t i = 0; i < flow_sectors; ++i) passed[i] = passing[i].halves[half];
    auto distance = fit_distance(passed, used, kFit);
    if (!distance) return std::nullopt;
    for (std::size_t i = 0; i < flow_sectors; ++i) {
        const double fit = at_sector(*distance, static_cast<int>(i));
        used[i] = used[i] && std::abs(1.0 / std::max(0.1F, passed[i].shift) - fit) < kOff;
    }
    if (const auto again = fit_distance(passed, used, kFit)) distance = again;
    return cv::Point2d((*distance)[1], (*distance)[2]) / (*distance)[0];
}

}  // namespace

// A place of the wall at 1 / radius = p about where the wall comes from is seen at p + (off · u) p²
// about a point that lies `off` from there, u being its direction. When p goes down by s, what is
// seen goes down by s (1 + (off · u) (p before + p after)): the more, the further ahead. The
// distance of the wall, 1 / s, is 1 + lean · u. So a half whose p, before and after, add up to P
// shows a lean of lean − P off.
std::optional<LensLean> lens_lean(const WallPassing& passing,
                                  const std::array<bool, flow_sectors>& used, const HalvesAt& at) {
    const auto far = lean_of_half(passing, used, 0);
    const auto near = lean_of_half(passing, used, 1);
    if (!far || !near) return std::nullopt;
    LensLean lens;
    lens.off = (*near - *far) / (at.far - at.near);
    lens.lean = *near + at.near * lens.off;
    return lens;
}

std::optional<double> down_at(std::span<const WaterLook> looks, double time_s) {
    constexpr double kNear_s = 3.0;
    std::optional<double> down_rad;
    double least_s = kNear_s;
    for (const WaterLook& look : looks) {
        if (!look.pipe || !look.shores) continue;
        const double away_s = std::abs(look.time_s - time_s);
        if (away_s > least_s) continue;
        least_s = away_s;
        down_rad = look.shores->down_rad;
    }
    return down_rad;
}

LensPlace place_of_lens(std::span<const WaterLook> looks) {
    constexpr std::size_t kFewest = 2;
    // Between a head that lies on the invert and one on skids (common practice, no source).
    constexpr Estimate kUsual{0.45, 0.12};
    constexpr double kLeastSd = 0.02;
    constexpr double kOfSpread = 2.5;  // pictures that follow each other err together
    std::vector<double> low;
    std::vector<double> off;
    for (const WaterLook& look : looks) {
        if (look.flows.empty()) continue;
        const auto down_rad = down_at(looks, look.time_s);
        if (!down_rad) continue;
        const cv::Point2d down(std::cos(*down_rad), std::sin(*down_rad));
        for (const FlowLook& flow : look.flows) {
            if (!flow.lens) continue;
            low.push_back(-flow.lens->lean.dot(down));
            off.push_back(flow.lens->off.dot(down));
        }
    }
    if (low.size() < kFewest) return {kUsual, 0.0};
    const double middle = upper_median(low);
    std::vector<double> apart;
    apart.reserve(low.size());
    for (const double value : low) apart.push_back(std::abs(value - middle));
    const double spread = 0.5 * 1.4826 * 1.2533 * upper_median(apart) /
                          std::sqrt(static_cast<double>(low.size()) - 1.0);
    const double sd = std::hypot(kLeastSd, kOfSpread * spread);
    const double weight = kUsual.sd * kUsual.sd / (kUsual.sd * kUsual.sd + sd * sd);
    const double seen = std::clamp(0.5 - 0.5 * middle, 0.15, 0.7);
    return {{std::lerp(kUsual.value, seen, weight), kUsual.sd * sd / std::hypot(kUsual.sd, sd)},
            upper_median(off)};
}

}  // namespace sondeline
