#include "grade/footage_limit.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <utility>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"

namespace sondeline::grade {

namespace {

// Pipes and pools of the clips on which the sure share was measured (docs/standing-water.md).
constexpr double kNarrowest_m = 0.07;
constexpr double kWidest_m = 0.31;
constexpr double kShortest_m = 1.0;
constexpr double kToldFrom = 0.005;  // of the run: less is naught percent

enum Seen { open, sure, faint, kinds };  // what overlaps counts as the first of these

Seen kind_of(const LookedAlong& part) {
    if (!part.sure_share) return faint;
    return part.left_open ? open : sure;
}

struct Edge {
    double station_m = 0.0;
    Seen kind = faint;
    int change = 0;
};

std::vector<Edge> edges_of(const AlignedRun& run, double length_m) {
    std::vector<Edge> edges;
    for (const LookedAlong& part : *run.run.looked_along) {
        const double a_m = std::clamp(station_of_x(run, part.from_x_m), 0.0, length_m);
        const double b_m = std::clamp(station_of_x(run, part.to_x_m), 0.0, length_m);
        edges.push_back({std::min(a_m, b_m), kind_of(part), 1});
        edges.push_back({std::max(a_m, b_m), kind_of(part), -1});
    }
    std::ranges::stable_sort(edges, {}, &Edge::station_m);
    return edges;
}

struct Place {
    double from_m = 0.0;
    double to_m = 0.0;
    double length_m() const { return to_m - from_m; }
};

struct Parts {
    std::array<double, kinds> lengths_m{};  // of the run that is of each kind
    std::vector<Place> open;                // by rising station
};

Parts parts_of(const AlignedRun& run, double length_m) {
    Parts parts;
    std::array<int, kinds> here{};
    double last_m = 0.0;
    for (const Edge& edge : edges_of(run, length_m)) {
        const auto kind = std::ranges::find_if(here, [](int count) { return count > 0; });
        if (kind != here.end() && edge.station_m > last_m) {
            const auto which = static_cast<std::size_t>(kind - here.begin());
            parts.lengths_m[which] += edge.station_m - last_m;
            if (which == open && !parts.open.empty() && parts.open.back().to_m == last_m) {
                parts.open.back().to_m = edge.station_m;
            } else if (which == open) {
                parts.open.push_back({last_m, edge.station_m});
            }
        }
        last_m = edge.station_m;
        here[edge.kind] += edge.change;
    }
    return parts;
}

// ", above all from 8.0 m (26.2 ft) to 10.0 m (32.8 ft)": the longest ones.
std::string longest_words(std::vector<Place> open, LengthUnit unit) {
    constexpr std::size_t kTold = 3;
    constexpr double kLeast_m = 0.3;
    std::erase_if(open, [](const Place& place) { return place.length_m() < kLeast_m; });
    if (open.empty()) return "";
    std::ranges::stable_sort(open, std::greater{}, &Place::length_m);
    if (open.size() > kTold) open.resize(kTold);
    std::ranges::stable_sort(open, {}, &Place::from_m);
    std::string words = ", above all";
    for (const Place& place : open) {
        words += fmt::format("{} from {} to {}", &place == open.data() ? "" : " and",
                             station_words(place.from_m, unit), station_words(place.to_m, unit));
    }
    return words;
}

std::optional<double> least_share(const std::vector<LookedAlong>& parts) {
    std::optional<double> share;
    for (const LookedAlong& part : parts) {
        if (part.sure_share) share = std::max(share.value_or(0.0), *part.sure_share);
    }
    return share;
}

bool size_measured(const SiteRun& run) {
    return !run.diameter_m || (*run.diameter_m >= kNarrowest_m && *run.diameter_m <= kWidest_m);
}

std::string along(double share, std::string_view what) {
    return share < kToldFrom ? "" : fmt::format(" Along {:.0f} % {}", 100.0 * share, what);
}

std::string words_of(const FootageLimit& limit, const std::vector<Place>& open, bool size_measured,
                     LengthUnit unit) {
    std::string words =
        "Nowhere in the footage of this run is standing water of any depth sure to have been "
        "noticed.";
    if (limit.water_share) {
        const std::string depth = limit.water_m ? height_words(*limit.water_m, unit)
                                                : fmt::format("{:.0f} % of the inside diameter",
                                                              100.0 * *limit.water_share);
        words = fmt::format(
            "Along {:.0f} % of this run water that stands {} deep or deeper, over {} or more, "
            "would "
            "have been noticed in the footage 9 times in 10 (measured on rendered footage); what "
            "is shallower may stand there unseen.",
            100.0 * limit.sure, depth, station_words(kShortest_m, unit));
    }
    words += along(limit.open,
                   "something runs along the wall that may be the shores of water, of which "
                   "nothing was claimed: look at the clip" +
                       longest_words(open, unit) + ".");
    words += along(limit.faint,
                   size_measured
                       ? "the pipe was seen, but not so plainly that water of any depth is sure to "
                         "have been noticed."
                       : "the pipe was seen, but how well water shows in one of its size was not "
                         "measured.");
    return words + along(limit.unseen,
                         "it was not seen along its axis, or the footage does not reach there.");
}

}  // namespace

FootageLimit footage_limit(const AlignedRun& run, double length_m, LengthUnit unit) {
    FootageLimit limit;
    if (!run.run.looked_along) {
        const Withheld& why = run.run.looked_along.withheld;
        limit.words = fmt::format("The footage could show no standing water here. {} {}",
                                  why.reason, why.what_to_do);
        return limit;
    }
    if (!(length_m > 0.0)) {
        limit.words = "The footage could show no standing water here: this run has no length.";
        return limit;
    }
    const Parts parts = parts_of(run, length_m);
    auto [open_m, sure_m, faint_m] = parts.lengths_m;
    const bool measured = size_measured(run.run);
    if (!measured) faint_m += std::exchange(open_m, 0.0) + std::exchange(sure_m, 0.0);
    limit.open = open_m / length_m;
    limit.sure = sure_m / length_m;
    limit.faint = faint_m / length_m;
    limit.unseen = std::max(0.0, 1.0 - limit.open - limit.sure - limit.faint);
    if (limit.sure >= kToldFrom) limit.water_share = least_share(*run.run.looked_along);
    if (limit.water_share && run.run.diameter_m) {
        limit.water_m =
            *limit.water_share * inside_diameter_m({*run.run.diameter_m, run.run.material});
    }
    limit.words = words_of(limit, parts.open, measured, unit);
    return limit;
}

}  // namespace sondeline::grade
