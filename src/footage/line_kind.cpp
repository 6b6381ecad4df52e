#include "footage/line_kind.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>
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

// From 0 for the least on; those that are equal share theirs.
std::vector<double> ranks_of(const std::vector<double>& values) {
    std::vector<double> sorted = values;
    std::sort(sorted.begin(), sorted.end());
    std::vector<double> ranks;
    ranks.reserve(values.size());
    for (const double value : values) {
        const auto [first, last] = std::equal_range(sorted.begin(), sorted.end(), value);
        ranks.push_back(
            static_cast<double>((first - sorted.begin()) + (last - sorted.begin()) - 1) / 2.0);
    }
    return ranks;
}

// Spearman's coefficient; none where one of the two is the same throughout.
std::optional<double> rank_correlation(const std::vector<double>& a, const std::vector<double>& b) {
    const std::vector<double> ranks_a = ranks_of(a);
    const std::vector<double> ranks_b = ranks_of(b);
    const double mean = (static_cast<double>(a.size()) - 1.0) / 2.0;
    double ab = 0.0;
    double aa = 0.0;
    double bb = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) {
        ab += (ranks_a[i] - mean) * (ranks_b[i] - mean);
        aa += (ranks_a[i] - mean) * (ranks_a[i] - mean);
        bb += (ranks_b[i] - mean) * (ranks_b[i] - mean);
    }
    if (aa <= 0.0 || bb <= 0.0) return std::nullopt;
    return ab / std::sqrt(aa * bb);
}

double normal_density(double x, double sd) {
    const double z = x / sd;
    return std::exp(-0.5 * z * z) / (sd * std::sqrt(2.0 * std::numbers::pi));
}

// How much likelier a counter keeps such company with the picture than a number that does not care
// about it: both rest, both run, the faster the more.
double odds_of_company(const std::vector<Window>& windows) {
    constexpr std::size_t kFewest = 6;
    constexpr double kUsualOfCounters = 0.7;
    constexpr double kSpreadOfCounters = 0.25;
    constexpr double kNotToBeSeen = 0.15;  // of counters: a hand or a lamp that shakes the picture
    constexpr double kDrift = 1.3;         // numbers wander: their windows are not independent
    constexpr double kMost = 20.0;
    std::vector<double> rates;
    std::vector<double> motions;
    for (const Window& window : windows) {
        if (!window.picture_motion) continue;
        rates.push_back(std::abs(window.ticks_per_s));
        motions.push_back(*window.picture_motion);
    }
    if (rates.size() < kFewest) return 1.0;
    const std::optional<double> correlation = rank_correlation(rates, motions);
    if (!correlation) return 1.0;
    const double together = std::max(0.0, *correlation);
    const double by_chance = kDrift / std::sqrt(static_cast<double>(rates.size()) - 1.0);
    const double of_counter = normal_density(together - kUsualOfCounters, kSpreadOfCounters);
    const double of_others = normal_density(together, by_chance);
    return std::min(kMost, kNotToBeSeen + (1.0 - kNotToBeSeen) * of_counter / of_others);
}

struct Extent {
    std::int64_t range = 0;
    std::int64_t path = 0;     // sum of all changes
    std::int64_t largest = 0;  // of all sure values, without their sign
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
    std::int64_t largest = 0;
    const auto close = [&] {
        here.range = most - least;
        if (here.range >= widest.range) widest = here;
    };
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (samples[i].unread != Unread::no) continue;
        const std::int64_t ticks = samples[i].ticks;
        ++sure;
        largest = std::max<std::int64_t>(largest, std::llabs(ticks));
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
    widest.largest = largest;
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

// Written with places that were never used, as reels count and sensors do not: 0054.7.
bool has_places_to_spare(const CounterFormat& format, const Extent& extent) {
    constexpr int kFewestPlaces = 3;
    if (!format.zero_padded || format.decimals == 0 || format.integer_cells < kFewestPlaces) {
        return false;
    }
    const double first_place = std::pow(10.0, format.integer_cells + format.decimals - 1);
    return static_cast<double>(extent.largest) < first_place;
}

}  // namespace

KindVerdict kind_of(std::span<const LineSample> samples, std::span<const LineEvidence> evidence,
                    const CounterFormat& format, double tick_m) {
    const Extent extent = extent_of(samples, evidence, reel_motion(tick_m));
    if (extent.sure < 10 || extent.sure * 10 < static_cast<int>(samples.size())) return {};
    if (extent.range == 0) return {LineKind::still_text, 0.02};
    const std::vector<Window> windows = windows_of(samples, evidence, kSteadyWindow_s);
    constexpr double kOddsOfANumber = 0.3;
    const double company = odds_of_company(windows_of(samples, evidence, kMotionWindow_s));
    double odds =
        kOddsOfANumber * odds_of_extent(extent) * odds_of_speed(windows, tick_m) * company;
    const bool names_unit = format.unit != CounterUnit::unknown;
    if (names_unit) odds *= 8.0;
    // A temperature or a charge wanders as far in a short clip, and a letter beside it may look
    // like a unit; it keeps no company with the head.
    constexpr std::int64_t kShortRun = 60;
    constexpr double kOddsOfAFigure = 0.15;
    constexpr double kOddsOfAFigureBesideALetter = 0.3;
    constexpr double kKeepsCompany = 3.0;
    constexpr double kKeepsNone = 0.5;
    if (extent.range <= kShortRun) {
        if (!names_unit && company < kKeepsCompany) odds *= kOddsOfAFigure;
        if (names_unit && company < kKeepsNone) odds *= kOddsOfAFigureBesideALetter;
    }
    // So little could be pushed, but is hardly worth a clip, and a figure may well change by it.
    constexpr std::int64_t kHardlyARun = 12;
    if (!names_unit && extent.range <= kHardlyARun) odds *= 0.1;
    odds *= format.decimals > 0 ? 3.0 : 0.5;
    constexpr double kOddsOfSparePlaces = 4.0;
    if (!names_unit && has_places_to_spare(format, extent)) odds *= kOddsOfSparePlaces;
    const bool steady = is_steady(windows);
    if (steady) odds *= 0.02;
    const double probability = odds / (1.0 + odds);
    if (probability >= 0.5) return {LineKind::counter, probability};
    return {steady ? LineKind::clock : LineKind::unreadable, probability};
}

}  // namespace sondeline
