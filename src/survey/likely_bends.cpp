#include "survey/likely_bends.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {

namespace {

constexpr double kOnePlace_m = 0.6;

// A fitting that is noted may as well be a coupling or a branch, and its station is read off the
// counter while the head stands before it: common practice, no source.
constexpr double kNotedProbability = 0.45;
constexpr double kNotedSd_m = 0.15;

// Of the turns told from rendered footage, 12 of 19 were there, all within 0.4 m
// (docs/passing-marks.md).
constexpr double kSeenProbability = 0.6;
constexpr double kSeenSd_m = 0.2;

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

}  // namespace

std::vector<LikelyBend> likely_bends(const std::vector<double>& noted_x_m,
                                     const ReelReading& reel) {
    std::vector<LikelyBend> out;
    out.reserve(noted_x_m.size());
    for (const double x_m : noted_x_m) out.push_back({x_m, kNotedSd_m, kNotedProbability, true});
    for (const double x_m : turns_seen_m(reel)) {
        const bool noted = std::ranges::any_of(
            noted_x_m, [x_m](double other_m) { return std::abs(other_m - x_m) < kOnePlace_m; });
        if (!noted) out.push_back({x_m, kSeenSd_m, kSeenProbability, false});
    }
    std::ranges::stable_sort(out, {}, &LikelyBend::x_m);
    return out;
}

}  // namespace sondeline
