#include "footage/passing/joints.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <numeric>

namespace sondeline {
namespace {

constexpr float kEnoughDark = 0.20F;  // over all pictures …
constexpr float kOutstanding = 3.0F;  // … and so much darker than the marks of the wall itself …
constexpr double kMarked = 0.2;       // … which are those that one place in five shows at least
constexpr double kLeastSpace_m = 0.25;
constexpr double kLeastSpacing_m = 0.5;
constexpr double kWidest_m = 6.5;
constexpr std::array kSticks{0.70, 0.20, 0.07, 0.03};  // in a space: how often 1, 2, 3, 4
constexpr double kAnything = 0.15;                     // spaces that are no sticks
constexpr double kUneven = 0.004;                      // of sticks, over their length, sd
constexpr double kLeastEvidence = 8.0;
constexpr std::size_t kMostTried = 500;  // spaces whose length is tried on all: hours of footage
constexpr int kFewestSpaces = 3;
constexpr int kFewestSingle = 2;

std::vector<double> spaces_between(std::span<const Joint> joints) {
    std::vector<double> spaces;
    for (std::size_t i = 1; i < joints.size(); ++i) {
        const double space = joints[i].x_m - joints[i - 1].x_m;
        if (space >= kLeastSpace_m) spaces.push_back(space);
    }
    return spaces;
}

// Natural logarithm of how much better sticks of this length explain the spaces than chance.
double evidence_for(double spacing_m, std::span<const double> spaces, double place_sd_m) {
    const double sd_m = std::hypot(place_sd_m, kUneven * spacing_m);
    double evidence = 0.0;
    for (const double space : spaces) {
        double sticks = 0.0;
        for (std::size_t i = 0; i < kSticks.size(); ++i) {
            const double off = (space - static_cast<double>(i + 1) * spacing_m) / sd_m;
            sticks += kSticks[i] * std::exp(-0.5 * off * off);
        }
        sticks *= std::numbers::inv_sqrtpi / (std::numbers::sqrt2 * sd_m);
        constexpr double kChance = 1.0 / kWidest_m;
        evidence += std::log((1.0 - kAnything) * sticks / kChance + kAnything);
    }
    return evidence;
}

struct Fit {
    double spacing_m = 0.0;
    double sum_squares = 0.0;  // of sticks in the spaces that agree
    double off_squares = 0.0;
    int spaces = 0;
    int single = 0;
};

// Least squares over the spaces that agree with sticks about so long.
Fit fitted(double spacing_m, std::span<const double> spaces, double place_sd_m) {
    Fit fit;
    fit.spacing_m = spacing_m;
    for (int round = 0; round < 3; ++round) {
        Fit next;
        double sum = 0.0;
        for (const double space : spaces) {
            const double sticks = std::round(space / fit.spacing_m);
            if (sticks < 1.0 || sticks > static_cast<double>(kSticks.size())) continue;
            const double off = space - sticks * fit.spacing_m;
            if (std::abs(off) > 3.0 * std::hypot(place_sd_m, kUneven * fit.spacing_m)) continue;
            sum += sticks * space;
            next.sum_squares += sticks * sticks;
            next.off_squares += off * off;
            ++next.spaces;
            next.single += sticks == 1.0 ? 1 : 0;
        }
        if (next.spaces == 0) return fit;
        next.spacing_m = sum / next.sum_squares;
        fit = next;
    }
    return fit;
}

// `joints` in no order; without those that are marks like many others here, by rising place.
std::vector<Joint> outstanding(std::vector<Joint> joints, double near_m) {
    if (joints.empty()) return joints;
    std::ranges::stable_sort(joints, std::greater{}, &Joint::dark);
    const auto [first, last] = std::ranges::minmax_element(joints, {}, &Joint::x_m);
    const double places = (last->x_m - first->x_m) / (2.0 * near_m) + 1.0;
    const double marked = std::min(kMarked * places, static_cast<double>(joints.size()));
    const auto usual = static_cast<std::size_t>(marked);
    const float least =
        usual > 0 && usual < joints.size() ? kOutstanding * joints[usual].dark : 0.0F;
    std::erase_if(
        joints, [least](const Joint& joint) { return joint.dark < std::max(kEnoughDark, least); });
    std::ranges::stable_sort(joints, {}, &Joint::x_m);
    return joints;
}

}  // namespace

std::vector<Joint> joints_of(std::vector<PlacedRing> rings, double near_m) {
    std::ranges::stable_sort(rings, {}, [](const PlacedRing& one) { return one.ring.time_s; });
    std::ranges::stable_sort(rings, {}, &PlacedRing::x_m);
    std::vector<std::size_t> darkest_first(rings.size());
    std::iota(darkest_first.begin(), darkest_first.end(), std::size_t{0});
    std::ranges::stable_sort(darkest_first, std::greater{},
                             [&](std::size_t i) { return rings[i].ring.dark; });
    std::vector<bool> taken(rings.size());
    std::vector<Joint> joints;
    for (const std::size_t darkest : darkest_first) {
        if (taken[darkest]) continue;
        const double middle_m = rings[darkest].x_m;
        Joint joint;
        joint.time_s = rings[darkest].ring.time_s;
        std::map<double, float> dark_at;  // a picture counts once
        double weight = 0.0;
        const auto from = std::ranges::lower_bound(rings, middle_m - near_m, {}, &PlacedRing::x_m);
        for (auto i = static_cast<std::size_t>(from - rings.begin());
             i < rings.size() && rings[i].x_m <= middle_m + near_m; ++i) {
            if (taken[i]) continue;
            taken[i] = true;
            const WallRing& ring = rings[i].ring;
            float& dark = dark_at[ring.time_s];
            dark = std::max(dark, ring.dark);
            const double square = static_cast<double>(ring.dark) * ring.dark;
            joint.x_m += square * rings[i].x_m;
            weight += square;
        }
        joint.x_m /= weight;
        for (const auto& [time_s, dark] : dark_at) joint.dark += dark;
        joints.push_back(joint);
    }
    return outstanding(std::move(joints), near_m);
}

std::optional<JointRow> joint_row_of(std::span<const Joint> joints, double place_sd_m) {
    const std::vector<double> spaces = spaces_between(joints);
    double most = kLeastEvidence;
    double spacing_m = 0.0;
    for (std::size_t i = 0; i < std::min(spaces.size(), kMostTried); ++i) {
        const double space = spaces[i];
        for (const double sticks : {1.0, 2.0}) {
            if (space / sticks < kLeastSpacing_m) continue;
            const double evidence = evidence_for(space / sticks, spaces, place_sd_m);
            if (evidence <= most) continue;
            most = evidence;
            spacing_m = space / sticks;
        }
    }
    if (spacing_m == 0.0) return std::nullopt;
    const Fit fit = fitted(spacing_m, spaces, place_sd_m);
    if (fit.spaces < kFewestSpaces || fit.single < kFewestSingle) return std::nullopt;
    JointRow row;
    const double scatter_m =
        std::max(place_sd_m, std::sqrt(fit.off_squares / static_cast<double>(fit.spaces - 1)));
    row.spacing = {fit.spacing_m, scatter_m / std::sqrt(fit.sum_squares)};
    row.from = joints.front().x_m;
    row.to = joints.back().x_m;
    row.spaces = fit.spaces;
    return row;
}

}  // namespace sondeline
