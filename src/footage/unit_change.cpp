#include "footage/unit_change.hpp"

#include <cmath>

#include <fmt/format.h>

#include "footage/track_findings.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double kFewestTicks = 100.0;

bool same_length(const Zeroing& zeroing, double tick, double units_per_unit) {
    const double expected = zeroing.counter_before * units_per_unit;
    // Half a tick on either side, the one before in the unit after.
    const double slack = 0.5 * tick * (1.0 + units_per_unit) + 0.1 * tick;
    return std::abs(zeroing.counter_after - expected) <= slack;
}

}  // namespace

std::optional<Zeroing> unit_change(const Track& track) {
    if (!track.format || track.format->unit == CounterUnit::feet_and_inches) return std::nullopt;
    const double tick = track.format->tick();
    for (const Zeroing& zeroing : track.zeroings) {
        const double before = std::abs(zeroing.counter_before);
        const double after = std::abs(zeroing.counter_after);
        if (!zeroing.gap_known || std::min(before, after) < 0.2 * kFewestTicks * tick ||
            std::max(before, after) < kFewestTicks * tick) {
            continue;
        }
        if (same_length(zeroing, tick, foot_m) || same_length(zeroing, tick, 1.0 / foot_m)) {
            return zeroing;
        }
    }
    return std::nullopt;
}

void withhold_after_unit_change(Track& track) {
    const std::optional<Zeroing> change = unit_change(track);
    if (!change) return;
    for (CounterSample& sample : track.samples) {
        if (sample.time_s < change->time_s - 1e-6 || !sample.counter) continue;
        sample.counter.reset();
        sample.probability = 0.0;
        sample.reason = "the counter may have changed its unit";
    }
    const double m = change->counter_before > change->counter_after ? change->counter_after
                                                                    : change->counter_before;
    track.findings.push_back(clip_finding(
        track, Severity::problem,
        fmt::format(
            "The counter goes from {:.6g} to {:.6g} in one step: {:.6g} m and {:.6g} ft are "
            "the same length, so its unit was switched there. Nothing was read from there "
            "on.",
            change->counter_before, change->counter_after, m, m / foot_m),
        "Cut the clip in two at this moment, or give the length by tape.", change->time_s));
}

}  // namespace sondeline
