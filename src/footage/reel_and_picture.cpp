#include "footage/reel_and_picture.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "footage/track_findings.hpp"
#include "terms/quantile.hpp"

namespace sondeline {

namespace {

constexpr double kWindow_s = 1.0;
constexpr double kFewestRunTicks = 4.0;  // in a window: so many are no flicker
constexpr double kShortestRun_s = 2.0;
constexpr double kShortestStand_s = 4.0;
constexpr std::size_t kMostOfAKind = 2;

// One second of the clip, wholly read.
struct Window {
    double from_s = 0.0;
    double to_s = 0.0;
    double first = 0.0;
    double last = 0.0;
    double motion = 0.0;  // mean
    bool runs = false;
    bool stands = false;
};

std::vector<Window> windows_of(const Track& track, std::span<const double> times_s,
                               std::span<const float> motion) {
    std::vector<Window> windows;
    const double tick = track.format->tick();
    std::size_t at = 0;
    for (std::size_t i = 0; i < times_s.size() && i < motion.size();) {
        Window window;
        double sum = 0.0;
        int count = 0;
        bool whole = true;
        const double from_s = times_s[i];
        for (; i < times_s.size() && times_s[i] < from_s + kWindow_s; ++i) {
            while (at < track.samples.size() && track.samples[at].time_s < times_s[i] - 1e-6) ++at;
            if (at == track.samples.size()) return windows;
            const CounterSample& sample = track.samples[at];
            if (!sample.counter || sample.state == CounterState::zero || motion[i] < 0.0F) {
                whole = false;
                continue;
            }
            if (count == 0) window.first = *sample.counter;
            window.last = *sample.counter;
            window.to_s = times_s[i];
            sum += motion[i];
            ++count;
        }
        if (!whole || count < 5) continue;
        window.from_s = from_s;
        window.motion = sum / count;
        const double ticks = std::abs(window.last - window.first) / tick;
        window.runs = ticks > kFewestRunTicks - 0.5;
        window.stands = ticks < 0.5;
        windows.push_back(window);
    }
    return windows;
}

}  // namespace

std::vector<Disagreement> disagreements(const Track& track, std::span<const double> times_s,
                                        std::span<const float> motion) {
    std::vector<Disagreement> found;
    if (!track.format) return found;
    const std::vector<Window> windows = windows_of(track, times_s, motion);
    std::vector<double> running;
    std::vector<double> standing;
    for (const Window& window : windows) {
        if (window.runs) running.push_back(window.motion);
        if (window.stands) standing.push_back(window.motion);
    }
    constexpr std::size_t kFewest = 3;
    constexpr double kApart = 2.0;
    if (running.size() < kFewest || standing.size() < kFewest) return found;
    // Most of the time the two agree, so that what is usual is right.
    const double usual_run = quantile(running, 0.5);
    const double usual_stand = quantile(standing, 0.5);
    if (usual_run < kApart * usual_stand + 0.5) return found;
    const double still = usual_stand + 0.15 * (usual_run - usual_stand);
    const double moving = usual_stand + 0.7 * (usual_run - usual_stand);
    for (std::size_t i = 0; i < windows.size();) {
        const auto odd = [&](const Window& window, bool counter_runs) {
            return counter_runs ? window.runs && window.motion <= still
                                : window.stands && window.motion >= moving;
        };
        const bool counter_runs = odd(windows[i], true);
        if (!counter_runs && !odd(windows[i], false)) {
            ++i;
            continue;
        }
        std::size_t last = i;
        while (last + 1 < windows.size() && odd(windows[last + 1], counter_runs) &&
               windows[last + 1].from_s - windows[last].to_s < kWindow_s) {
            ++last;
        }
        const Disagreement stretch{windows[i].from_s, windows[last].to_s, counter_runs,
                                   windows[last].last - windows[i].first};
        const double shortest_s = counter_runs ? kShortestRun_s : kShortestStand_s;
        if (stretch.to_s - stretch.from_s >= shortest_s - 0.3) found.push_back(stretch);
        i = last + 1;
    }
    return found;
}

void tell_of_disagreements(std::span<const Disagreement> disagreements, Track& track) {
    std::vector<Disagreement> longest(disagreements.begin(), disagreements.end());
    std::stable_sort(longest.begin(), longest.end(), [](const auto& a, const auto& b) {
        return a.to_s - a.from_s > b.to_s - b.from_s;
    });
    for (const bool counter_runs : {true, false}) {
        std::size_t told = 0;
        for (const Disagreement& at : longest) {
            if (at.counter_runs != counter_runs || told == kMostOfAKind) continue;
            ++told;
            const double length_s = at.to_s - at.from_s;
            track.findings.push_back(clip_finding(
                track, Severity::caution,
                counter_runs
                    ? fmt::format("The counter runs by {:.6g} within {:.0f} s while the picture "
                                  "stands still: the cable may slip or coil up.",
                                  std::abs(at.counted), length_s)
                    : fmt::format("The picture moves for {:.0f} s while the counter stands: the "
                                  "head may have moved without being counted.",
                                  length_s),
                "Look here: compare the length with a fix beyond this place.", at.from_s));
        }
    }
}

}  // namespace sondeline
