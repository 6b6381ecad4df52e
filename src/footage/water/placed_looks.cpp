#include "footage/water/placed_looks.hpp"

#include <algorithm>
#include <cmath>

#include "footage/water/water_level.hpp"

namespace sondeline {
namespace {

constexpr double kMostShare = 0.9;
constexpr double kAngleSd_rad = 0.05;

WaterState judged(const WaterLook& look) {
    if (!look.pipe) return look.veiled ? WaterState::submerged : WaterState::no_pipe;
    return look.shores ? WaterState::water : WaterState::dry;
}

}  // namespace

JoinedTrack continuous(const Track& track) {
    Track bare = track;
    bare.evidence.clear();
    bare.water.reset();
    return join_clips(std::span(&bare, 1));
}

std::optional<double> counter_at(const JoinedTrack& joined, double time_s) {
    const auto after = std::ranges::lower_bound(joined.samples, time_s, {},
                                                [](const auto& one) { return one.sample.time_s; });
    if (after == joined.samples.end() || !after->pushed) return std::nullopt;
    if (after == joined.samples.begin()) return *after->pushed;
    const auto before = std::prev(after);
    if (!before->pushed) return std::nullopt;
    const double span_s = after->sample.time_s - before->sample.time_s;
    const double share = span_s > 0.0 ? (time_s - before->sample.time_s) / span_s : 1.0;
    return std::lerp(*before->pushed, *after->pushed, share);
}

namespace {

// From one look to a later one: how far the wall passed in the picture, and the counter went.
struct Passing {
    double moved = 0.0;
    double counted = 0.0;
};

std::vector<Passing> passings(std::span<const WaterLook> looks, const JoinedTrack& joined) {
    std::vector<Passing> all;
    for (const WaterLook& look : looks) {
        const auto from = counter_at(joined, look.time_s);
        for (const FlowLook& flow : look.flows) {
            const auto to = counter_at(joined, flow.later_s);
            if (from && to) all.push_back({flow.moved, *to - *from});
        }
    }
    return all;
}

}  // namespace

Estimate share_of(double half_rad, const Estimate& lens_height) {
    const auto at = [](double half, double height) {
        return 0.5 * (1.0 - surface_below_axis(half, 1.0 - 2.0 * height));
    };
    const double share = at(half_rad, lens_height.value);
    const double by_height =
        0.5 * (at(half_rad, std::min(0.95, lens_height.value + lens_height.sd)) -
               at(half_rad, std::max(0.05, lens_height.value - lens_height.sd)));
    const double by_angle = 0.5 * (at(half_rad + kAngleSd_rad, lens_height.value) -
                                   at(half_rad - kAngleSd_rad, lens_height.value));
    return {std::clamp(share, 0.0, kMostShare), std::hypot(by_height, by_angle)};
}

std::optional<double> count_by_passing(std::span<const WaterLook> looks,
                                       const JoinedTrack& joined) {
    constexpr int kFewest = 8;
    double passed = 0.0;
    double counted = 0.0;
    int count = 0;
    for (const Passing& passing : passings(looks, joined)) {
        // Both signed: what does not belong together takes itself away.
        const double sign = passing.moved < 0.0 ? -1.0 : 1.0;
        passed += std::abs(passing.moved);
        counted += sign * passing.counted;
        ++count;
    }
    if (count < kFewest) return std::nullopt;
    return std::abs(counted) / passed;
}

Estimate ahead_of_lens(std::span<const WaterLook> looks, const JoinedTrack& joined,
                       double metres_per_count) {
    constexpr Estimate kUsual{0.08, 0.06};
    constexpr double kSpread = 0.2;  // shores lie nearer and further than where they are taken to
    constexpr double kLeast_m = 0.03;
    constexpr double kMost_m = 0.4;
    const auto by_passing = count_by_passing(looks, joined);
    if (!by_passing) return kUsual;
    const double ahead_m = *by_passing * metres_per_count / water_shore_radius;
    if (ahead_m < kLeast_m || ahead_m > kMost_m) return kUsual;
    return {ahead_m, std::hypot(0.02, kSpread * ahead_m)};
}

bool passes_with_counter(std::span<const WaterLook> looks, const JoinedTrack& joined) {
    constexpr int kFewest = 2;
    constexpr double kLeastAgree = 0.65;
    int agree = 0;
    int count = 0;
    for (const Passing& passing : passings(looks, joined)) {
        if (passing.counted == 0.0) continue;
        agree += (passing.counted > 0.0) == (passing.moved > 0.0) ? 1 : 0;
        ++count;
    }
    return count >= kFewest && agree >= kLeastAgree * count;
}

std::vector<PlacedLook> place_looks(std::span<const WaterLook> looks, const JoinedTrack& joined,
                                    double metres_per_count, const LensPlace& lens) {
    const Estimate ahead_m = ahead_of_lens(looks, joined, metres_per_count);
    std::vector<PlacedLook> placed;
    std::size_t at = 0;
    for (const WaterLook& look : looks) {
        PlacedLook one;
        one.look = look;
        one.state = judged(look);
        while (at + 1 < joined.samples.size() &&
               joined.samples[at].sample.time_s < look.time_s - 1e-6) {
            ++at;
        }
        if (at < joined.samples.size() && joined.samples[at].pushed) {
            one.placed = true;
            one.x_m = *joined.samples[at].pushed * metres_per_count + ahead_m.value;
            one.ahead_sd_m = ahead_m.sd;
            one.retrieving = joined.samples[at].sample.state == CounterState::pull;
        }
        placed.push_back(std::move(one));
    }
    for (PlacedLook& one : placed) {
        if (one.state != WaterState::water) continue;
        // Seen about a point that lies too far down, the shores seem to lie further apart.
        double& half_rad = one.look.shores->half_rad;
        half_rad -= lens.off_down * std::sin(half_rad) / water_shore_radius;
        one.share = share_of(half_rad, lens.height).value;
    }
    return placed;
}

}  // namespace sondeline
