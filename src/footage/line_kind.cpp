#include "footage/line_kind.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <vector>

#include "footage/reel_steps.hpp"

namespace sondeline {

namespace {

constexpr double kSteadyWindow_s = 2.0;  // long, so that whole ticks hide no rate
constexpr double kMotionWindow_s = 1.0;  // short, so that every hold holds one

// What happened to the number within one window of time.
struct Window {
    double ticks_per_s = 0.0;
    std::optional<double> picture_motion;  // mean
};

std::vector<Window> windows_of(std::span<const LineSample> samples,
                               std::span<const LineEvidence> evidence, double window_s) {
    std::vector<Window> windows;
    std::size_t start = samples.size();
    double motion = 0.0;
    int known = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (samples[i].unread != Unread::no) continue;
        if (start == samples.size()) start = i;
        if (evidence[i].picture_motion >= 0.0F) {
            motion += evidence[i].picture_motion;
            ++known;
        }
        const double length_s = evidence[i].time_s - evidence[start].time_s;
        if (length_s < window_s) continue;
        if (length_s < 1.5 * window_s) {
            Window window;
            window.ticks_per_s =
                static_cast<double>(samples[i].ticks - samples[start].ticks) / length_s;
            if (known > 0) window.picture_motion = motion / known;
            windows.push_back(window);
        }
        start = i;
        motion = 0.0;
        known = 0;
    }
    return windows;
}

// Gains the same in every window, to a tick: a clock, an elapsed time, a frame number.
bool is_steady(const std::vector<Window>& windows) {
    if (windows.size() < 5) return false;
    std::vector<double> rates;
    rates.reserve(windows.size());
    for (const Window& window : windows) rates.push_back(window.ticks_per_s);
    std::nth_element(rates.begin(), rates.begin() + rates.size() / 2, rates.end());
    const double usual = rates[rates.size() / 2];
    if (std::abs(usual) < 0.4) return false;
    const double slack = std::max(0.6, 0.06 * std::abs(usual));
    const auto even = std::count_if(windows.begin(), windows.end(), [&](const Window& window) {
        return std::abs(window.ticks_per_s - usual) <= slack;
    });
    return static_cast<double>(even) >= 0.9 * static_cast<double>(windows.size());
}

// Share of the windows in which the number changed, among those of a resting or a moving picture.
struct ChangeShare {
    int windows = 0;
    double share = 0.0;
};

ChangeShare change_share(const std::vector<Window>& windows, double rest, bool resting) {
    ChangeShare result;
    for (const Window& window : windows) {
        if (!window.picture_motion || (*window.picture_motion <= rest) != resting) continue;
        ++result.windows;
        result.share += window.ticks_per_s != 0.0;
    }
    if (result.windows > 0) result.share /= result.windows;
    return result;
}

// Below it the picture rests: noise of the camera and the encoder only.
double resting_motion(const std::vector<Window>& windows) {
    std::vector<double> motions;
    for (const Window& window : windows) {
        if (window.picture_motion) motions.push_back(*window.picture_motion);
    }
    if (motions.empty()) return 0.0;
    const std::size_t high = motions.size() * 9 / 10;
    std::nth_element(motions.begin(), motions.begin() + static_cast<std::ptrdiff_t>(high),
                     motions.end());
    return std::max(1.2, 0.12 * motions[high]);
}

// How picture and number keep company: both rest, both move.
struct Company {
    double odds = 1.0;
    bool rests_together = false;  // seen more than once
};

Company company_of(const std::vector<Window>& windows) {
    const double rest = resting_motion(windows);
    const ChangeShare resting = change_share(windows, rest, true);
    const ChangeShare moving = change_share(windows, rest, false);
    Company company;
    if (resting.windows >= 2) {
        // A number that hardly ever changes rests with the head as it does without.
        const bool goes_with_head =
            moving.windows < 3 || moving.share > std::max(0.35, 2.0 * resting.share);
        company.rests_together = resting.share < 0.25 && goes_with_head;
        company.odds *= company.rests_together ? 5.0 : resting.share < 0.6 ? 1.0 : 0.1;
    }
    if (moving.windows >= 3) {
        company.odds *= moving.share > 0.7 ? 2.0 : moving.share > 0.35 ? 1.0 : 0.2;
    }
    return company;
}

struct Extent {
    std::int64_t range = 0;
    std::int64_t path = 0;  // sum of all changes
    int sure = 0;
};

// The widest of the stretches between jumps: a digit that is misread at a carry must not make a
// figure that hardly changes seem to cover ground.
Extent extent_of(std::span<const LineSample> samples, std::span<const LineEvidence> evidence,
                 const ReelMotion& motion) {
    Extent widest;
    Extent here;
    int sure = 0;
    std::optional<std::size_t> last;
    std::int64_t least = 0;
    std::int64_t most = 0;
    const auto close = [&] {
        here.range = most - least;
        if (here.range >= widest.range) widest = here;
    };
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (samples[i].unread != Unread::no) continue;
        const std::int64_t ticks = samples[i].ticks;
        ++sure;
        const std::int64_t step = last ? std::llabs(ticks - samples[*last].ticks) : 0;
        const double time_s = last ? evidence[i].time_s - evidence[*last].time_s : 0.0;
        if (!last || static_cast<double>(step) > motion.most_ticks_per_s * time_s + 2.0) {
            if (last) close();
            here = {};
            least = most = ticks;
        } else {
            here.path += step;
        }
        least = std::min(least, ticks);
        most = std::max(most, ticks);
        last = i;
    }
    if (last) close();
    widest.sure = sure;
    return widest;
}

// A pushed head covers ground; a temperature or a voltage wanders about one value.
double odds_of_extent(const Extent& extent) {
    if (extent.range <= 3) return 0.03;
    const double covered = static_cast<double>(extent.range) /
                           static_cast<double>(std::max<std::int64_t>(1, extent.path));
    if (extent.range <= 12 && covered < 0.3) return 0.1;
    return extent.range > 30 ? 2.0 : 1.0;
}

double odds_of_speed(const std::vector<Window>& windows, double tick_m) {
    std::vector<double> speeds;
    for (const Window& window : windows) {
        if (window.ticks_per_s != 0.0) speeds.push_back(std::abs(window.ticks_per_s) * tick_m);
    }
    if (speeds.empty()) return 1.0;
    std::nth_element(speeds.begin(), speeds.begin() + speeds.size() / 2, speeds.end());
    const double usual_m_per_s = speeds[speeds.size() / 2];
    return usual_m_per_s > 2.0 ? 0.1 : usual_m_per_s > 1.0 ? 0.5 : 1.5;
}

}  // namespace

KindVerdict kind_of(std::span<const LineSample> samples, std::span<const LineEvidence> evidence,
                    const CounterFormat& format, double tick_m) {
    const Extent extent = extent_of(samples, evidence, reel_motion(tick_m));
    if (extent.sure < 10 || extent.sure * 10 < static_cast<int>(samples.size())) return {};
    if (extent.range == 0) return {LineKind::still_text, 0.02};
    const std::vector<Window> windows = windows_of(samples, evidence, kSteadyWindow_s);
    constexpr double kOddsOfANumber = 0.3;
    const Company company = company_of(windows_of(samples, evidence, kMotionWindow_s));
    double odds =
        kOddsOfANumber * odds_of_extent(extent) * odds_of_speed(windows, tick_m) * company.odds;
    const bool names_unit = format.unit != CounterUnit::unknown;
    if (names_unit) odds *= 8.0;
    // A temperature or a charge wanders as far in a short clip; it does not rest with the head.
    constexpr std::int64_t kShortRun = 60;
    constexpr double kOddsOfAFigure = 0.15;
    const bool could_be_a_figure = !names_unit && extent.range <= kShortRun;
    if (could_be_a_figure && !company.rests_together) odds *= kOddsOfAFigure;
    // So little could be pushed, but is hardly worth a clip, and a figure may well change by it.
    constexpr std::int64_t kHardlyARun = 12;
    if (!names_unit && extent.range <= kHardlyARun) odds *= 0.1;
    odds *= format.decimals > 0 ? 3.0 : 0.5;
    const bool steady = is_steady(windows);
    if (steady) odds *= 0.02;
    const double probability = odds / (1.0 + odds);
    if (probability >= 0.5) return {LineKind::counter, probability};
    return {steady ? LineKind::clock : LineKind::unreadable, probability};
}

}  // namespace sondeline
