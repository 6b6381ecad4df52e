#include "footage/passing/light_changes.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <utility>

#include "terms/quantile.hpp"

namespace sondeline {
namespace {

constexpr double kBeside_m = 0.15;  // left out: the change comes into view by and by
constexpr double kReach_m = 1.0;
constexpr double kOnePlace_m = 0.02;
constexpr std::size_t kFewest = 4;
constexpr double kLeastChange = 0.25;  // natural logarithm
constexpr double kOverUsual = 4.0;
constexpr double kApart_m = 1.5;
constexpr double kBlack = 8.0;  // grey levels added before the logarithm

// Natural logarithm of the usual light between two places; empty when few looks show it.
std::optional<double> usual_light(std::span<const PlacedLight> lights, double from_m, double to_m) {
    const auto from = std::ranges::lower_bound(lights, from_m, {}, &PlacedLight::x_m);
    const auto to = std::ranges::upper_bound(lights, to_m, {}, &PlacedLight::x_m);
    if (to - from < static_cast<std::ptrdiff_t>(kFewest)) return std::nullopt;
    std::vector<double> values;
    for (auto one = from; one != to; ++one) values.push_back(std::log(one->light + kBlack));
    return quantile(values, 0.5);
}

// Looks at one place are one, so that a head that stands weighs no more than one that goes on.
std::vector<PlacedLight> by_place(std::vector<PlacedLight> lights) {
    std::ranges::stable_sort(lights, {}, &PlacedLight::x_m);
    std::vector<PlacedLight> places;
    double first_m = 0.0;
    double count = 0.0;
    for (const PlacedLight& one : lights) {
        if (places.empty() || one.x_m - first_m >= kOnePlace_m) {
            places.push_back(one);
            first_m = one.x_m;
            count = 1.0;
            continue;
        }
        count += 1.0;
        places.back().light += (one.light - places.back().light) / count;
    }
    return places;
}

}  // namespace

std::vector<LightChange> light_changes(std::vector<PlacedLight> looked) {
    const std::vector<PlacedLight> lights = by_place(std::move(looked));
    std::vector<LightChange> changes;  // at every look, as a logarithm
    std::vector<double> sizes;
    for (const PlacedLight& one : lights) {
        const auto before = usual_light(lights, one.x_m - kReach_m, one.x_m - kBeside_m);
        const auto beyond = usual_light(lights, one.x_m + kBeside_m, one.x_m + kReach_m);
        if (!before || !beyond) continue;
        changes.push_back({one.x_m, one.time_s, *beyond - *before});
        sizes.push_back(std::abs(*beyond - *before));
    }
    if (sizes.empty()) return {};
    const double least = std::max(kLeastChange, kOverUsual * quantile(sizes, 0.5));
    std::erase_if(changes, [least](const auto& one) { return std::abs(one.ratio) < least; });
    std::ranges::stable_sort(changes, std::greater{},
                             [](const auto& one) { return std::abs(one.ratio); });
    std::vector<LightChange> told;
    for (const LightChange& one : changes) {
        const bool again = std::ranges::any_of(told, [&](const LightChange& other) {
            return std::abs(other.x_m - one.x_m) < kApart_m;
        });
        if (!again) told.push_back({one.x_m, one.time_s, std::exp(one.ratio)});
    }
    std::ranges::stable_sort(told, {}, &LightChange::x_m);
    return told;
}

}  // namespace sondeline
