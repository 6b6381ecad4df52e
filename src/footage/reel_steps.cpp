#include "footage/reel_steps.hpp"

#include <algorithm>
#include <cmath>

#include "footage/line_reader.hpp"

namespace sondeline {

namespace {

constexpr double kSpeedWindow_s = 0.45;

std::optional<float> speed_about(std::span<const LineEvidence> evidence,
                                 std::span<const PathValue> values, std::size_t from,
                                 std::size_t to, double time_s) {
    double weight = 0.0, t1 = 0.0, x1 = 0.0, tt = 0.0, tx = 0.0, xx = 0.0;
    const auto base = static_cast<double>(values[from].ticks);
    for (std::size_t i = from; i < to; ++i) {
        const double w = std::max(0.0, static_cast<double>(values[i].probability) - 0.3);
        const double t = evidence[i].time_s - time_s;
        const double x = static_cast<double>(values[i].ticks) - base;
        weight += w;
        t1 += w * t;
        x1 += w * x;
        tt += w * t * t;
        tx += w * t * x;
        xx += w * x * x;
    }
    if (weight < 2.0) return std::nullopt;
    const double var_t = tt - t1 * t1 / weight;
    const double cov = tx - t1 * x1 / weight;
    if (var_t < 1e-3) return std::nullopt;
    const double slope = cov / var_t;
    const double rest = std::max(0.0, xx - x1 * x1 / weight - slope * cov) / weight;
    const double bend = 1.0 + 0.1 * std::abs(slope);
    if (rest > bend * bend) return std::nullopt;
    return static_cast<float>(slope);
}

}  // namespace

ReelMotion reel_motion(double tick_m) {
    ReelMotion motion;
    motion.most_ticks_per_s = 3.0 / tick_m;
    motion.usual_ticks_per_s = 0.2 / tick_m;
    motion.longest_ticks = static_cast<std::int64_t>(200.0 / tick_m);
    return motion;
}

std::int64_t ticks_to_a_carry(bool feet_and_inches, const ReelMotion& motion) {
    if (feet_and_inches) return 12;
    std::int64_t ticks = 10;
    while (static_cast<double>(ticks) < motion.usual_ticks_per_s) ticks *= 10;
    return ticks;
}

void StepTable::set(double gap_s, std::optional<double> speed) {
    if (std::abs(gap_s - gap_s_) < 1e-4 && speed == speed_) return;
    gap_s_ = gap_s;
    speed_ = speed;
    const double most = std::ceil(motion_.most_ticks_per_s * std::max(gap_s, 0.0)) + 1.0;
    reach_ = static_cast<std::int64_t>(std::min(most, 1e5));
    fill_without_speed();
    if (speed) mix_in_speed(*speed * gap_s);
}

// Part holds, part moves at about the usual speed, and a little is spread evenly: snatches.
void StepTable::fill_without_speed() {
    const auto reach = static_cast<std::size_t>(reach_);
    steps_.assign(2 * reach + 1, 0.0);
    const double scale = std::max(1.0, motion_.usual_ticks_per_s * gap_s_);
    const double ratio = std::exp(-1.0 / scale);
    double sum = 0.0;
    double step = 1.0;
    for (std::size_t d = 1; d <= reach; ++d) {
        step *= ratio;
        steps_[reach + d] = step;
        sum += 2.0 * step;
    }
    const double even = 0.02 / (2.0 * static_cast<double>(reach));
    for (std::size_t d = 1; d <= reach; ++d) {
        steps_[reach + d] = 0.43 * steps_[reach + d] / sum + even;
        steps_[reach - d] = steps_[reach + d];
    }
    // Over long gaps a hold is one step among many.
    steps_[reach] = std::max(0.55 / std::max(1.0, gap_s_), steps_[reach + 1]);
}

// Steps about the expected one, a little wider when fast: heads surge.
void StepTable::mix_in_speed(double expected) {
    constexpr double kKnown = 0.75;
    const double scale = 0.6 + 0.2 * std::abs(expected);
    for (double& step : steps_) step *= 1.0 - kKnown;
    const auto centre = static_cast<std::int64_t>(std::lround(expected));
    const auto width = static_cast<std::int64_t>(8.0 * scale) + 1;
    double sum = 0.0;
    for (const bool adding : {false, true}) {
        for (std::int64_t d = centre - width; d <= centre + width; ++d) {
            if (d < -reach_ || d > reach_) continue;
            const double weight = std::exp(-std::abs(static_cast<double>(d) - expected) / scale);
            if (adding) steps_[static_cast<std::size_t>(d + reach_)] += kKnown * weight / sum;
            sum += adding ? 0.0 : weight;
        }
    }
}

std::vector<std::optional<float>> speeds_along(std::span<const LineEvidence> evidence,
                                               std::span<const PathValue> values) {
    std::vector<std::optional<float>> speeds(values.size());
    std::size_t from = 0;
    std::size_t to = 0;
    for (std::size_t i = 1; i < values.size(); ++i) {
        const double middle_s = 0.5 * (evidence[i - 1].time_s + evidence[i].time_s);
        while (evidence[from].time_s < middle_s - kSpeedWindow_s) ++from;
        while (to < values.size() && evidence[to].time_s <= middle_s + kSpeedWindow_s) ++to;
        if (to > from) speeds[i] = speed_about(evidence, values, from, to, middle_s);
    }
    return speeds;
}

}  // namespace sondeline
