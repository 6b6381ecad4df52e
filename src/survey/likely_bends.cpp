#include "survey/likely_bends.hpp"

#include <algorithm>
#include <cmath>
#include <span>

namespace sondeline {

namespace {

constexpr double kOnePlace_m = 0.6;

// A fitting that is noted may as well be a coupling or a branch, and its station is read off the
// counter while the head stands before it: common practice, no source.
constexpr double kNotedProbability = 0.45;
constexpr double kNotedSd_m = 0.15;

// All of the 24 turns told from rendered footage were there, 5 cm off (docs/passing-marks.md). Real
// pictures have more in them that may pass for one, and real cable lies less straight; believed
// more, lines go further astray where the turn is none.
constexpr double kSeenProbability = 0.65;
constexpr double kSeenSd_m = 0.1;

// Pipes have a bend in ten metres, and a few near a house: common practice, no source.
constexpr std::size_t kMostAnywhere = 4;
constexpr double kMost_per_m = 0.4;

std::vector<double> distinct(std::vector<double> places_m) {
    std::ranges::sort(places_m);
    std::vector<double> out;
    for (const double x_m : places_m) {
        if (out.empty() || x_m - out.back() >= kOnePlace_m) out.push_back(x_m);
    }
    return out;
}

std::vector<double> turns_seen_m(const ReelReading& reel) {
    if (reel.track == nullptr || !reel.metres_per_count || !reel.track->first) return {};
    const auto x_of = [&](double pushed) { return (pushed - reel.start) * *reel.metres_per_count; };
    std::vector<double> places_m;
    places_m.reserve(reel.track->turns.size());
    for (const PushedTurn& turn : reel.track->turns) places_m.push_back(x_of(turn.pushed));
    places_m = distinct(std::move(places_m));
    const double filmed_m = x_of(reel.track->furthest->pushed) - x_of(reel.track->first->pushed);
    const bool sways = places_m.size() > kMostAnywhere &&
                       static_cast<double>(places_m.size()) > kMost_per_m * filmed_m;
    return sways ? std::vector<double>{} : places_m;
}

// Note and picture are witnesses apart: neither is there with the product of what each leaves open.
LikelyBend noted_and_seen(const LikelyBend& noted, double seen_x_m) {
    const double noted_weight = 1.0 / (noted.sd_m * noted.sd_m);
    const double seen_weight = 1.0 / (kSeenSd_m * kSeenSd_m);
    const double weight = noted_weight + seen_weight;
    return {(noted_weight * noted.x_m + seen_weight * seen_x_m) / weight, 1.0 / std::sqrt(weight),
            1.0 - (1.0 - noted.probability) * (1.0 - kSeenProbability), true};
}

}  // namespace

std::vector<LikelyBend> likely_bends(const std::vector<double>& noted_x_m,
                                     const ReelReading& reel) {
    std::vector<LikelyBend> out;
    out.reserve(noted_x_m.size());
    for (const double x_m : noted_x_m) out.push_back({x_m, kNotedSd_m, kNotedProbability, true});
    for (const double x_m : turns_seen_m(reel)) {
        const auto away_m = [x_m](const LikelyBend& bend) { return std::abs(bend.x_m - x_m); };
        const std::span noted(out.begin(), noted_x_m.size());
        const auto nearest = std::ranges::min_element(noted, {}, away_m);
        if (nearest == noted.end() || away_m(*nearest) >= kOnePlace_m) {
            out.push_back({x_m, kSeenSd_m, kSeenProbability, false});
        } else {
            *nearest = noted_and_seen(*nearest, x_m);
        }
    }
    std::ranges::stable_sort(out, {}, &LikelyBend::x_m);
    return out;
}

}  // namespace sondeline
