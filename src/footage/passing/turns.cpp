#include "footage/passing/turns.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>

#include "terms/quantile.hpp"

namespace sondeline {
namespace {

constexpr double kNextLook_s = 0.6;
constexpr std::size_t kFewestSteps = 10;
constexpr double kLeastStep = 0.10;  // of the picture's height
constexpr double kOverSway = 5.0;    // times the usual step
constexpr double kLongest_s = 3.0;   // a fitting may hide the far dark so long …
constexpr double kLeastWay_m = 0.02;
constexpr double kWay_m = 0.7;  // … and along so much pipe
constexpr double kOnePlace_m = 0.6;
// The fitting lies where the far dark comes back to where it then stays: sought so far before and
// beyond the leaps, that place so far beyond them.
constexpr double kBefore_m = 0.4;
constexpr double kBeyond_m = 0.35;
constexpr double kSettled_m = 0.3;
constexpr double kSettledTo_m = 1.0;
constexpr std::size_t kFewestSettled = 3;
constexpr double kWellAside = 0.5;  // of the furthest aside
constexpr double kNextPlace_m = 0.4;
// Before it the far dark goes one way, well before and beyond it hardly any: along these stretches,
// by so much of the furthest aside. Set on rendered footage, `passing_evidence --half tuning`.
constexpr double kComingUp_m = 0.45;
constexpr double kWellBefore_m = 0.6;
constexpr double kWellBeforeFrom_m = 1.5;
constexpr double kJustBeyond_m = 0.6;
constexpr double kOneWay = 0.6;
constexpr double kMostBefore = 0.3;
constexpr double kMostBeyond = 0.23;

// Rising by place.
using Looks = std::span<const PlacedCentre>;

double step_between(const PlacedCentre& a, const PlacedCentre& b) {
    return std::hypot(b.across - a.across, b.down - a.down);
}

// Those beyond `from_m`, up to `to_m`.
Looks between(Looks looks, double from_m, double to_m) {
    const auto first = std::ranges::upper_bound(looks, from_m, {}, &PlacedCentre::x_m);
    const auto end = std::ranges::upper_bound(looks, to_m, {}, &PlacedCentre::x_m);
    return first < end ? Looks(first, end) : Looks{};
}

// Where the far dark mostly stands; one look at least.
PlacedCentre usual(Looks looks) {
    std::vector<double> across;
    std::vector<double> down;
    for (const PlacedCentre& look : looks) {
        across.push_back(look.across);
        down.push_back(look.down);
    }
    return {0.0, 0.0, quantile(across, 0.5), quantile(down, 0.5)};
}

// How far from a place in the picture the far dark mostly is; nil where too few looks tell.
double usual_distance(Looks looks, const PlacedCentre& from) {
    if (looks.size() < kFewestSettled) return 0.0;
    std::vector<double> distances;
    for (const PlacedCentre& look : looks) distances.push_back(step_between(look, from));
    return quantile(distances, 0.5);
}

// 1 where all looks have the far dark aside in one direction, nil where in all.
double one_way(Looks looks, const PlacedCentre& from) {
    double across = 0.0;
    double down = 0.0;
    double way = 0.0;
    for (const PlacedCentre& look : looks) {
        across += look.across - from.across;
        down += look.down - from.down;
        way += step_between(look, from);
    }
    return way > 0.0 ? std::hypot(across, down) / way : 1.0;
}

// Coming up to a fitting the head sees the far dark drift aside, as it looks into the bend, and
// come back at once when it goes through. Leaps may show anywhere on the way, mostly before; the
// fitting lies between the last look well aside and the one after it. Empty where the picture does
// not go that way: a lamp's glare, a drop on the lens.
std::optional<double> place_of_fitting_m(Looks looks, double leaps_m) {
    const Looks beyond = between(looks, leaps_m + kSettled_m, leaps_m + kSettledTo_m);
    const PlacedCentre settled = usual(beyond.size() < kFewestSettled ? looks : beyond);
    const Looks about = between(looks, leaps_m - kBefore_m, leaps_m + kBeyond_m);
    double furthest = 0.0;
    for (const PlacedCentre& look : about) {
        furthest = std::max(furthest, step_between(look, settled));
    }
    const auto is_well_aside = [&](const PlacedCentre& look) {
        return step_between(look, settled) > kWellAside * furthest;
    };
    const auto last = std::ranges::find_if(about.rbegin(), about.rend(), is_well_aside);
    if (last == about.rend()) return std::nullopt;
    const Looks on = between(looks, last->x_m, last->x_m + kNextPlace_m);
    const double place_m = on.empty() ? last->x_m : 0.5 * (last->x_m + on.front().x_m);

    const Looks straight = between(looks, place_m - kWellBeforeFrom_m, place_m - kWellBefore_m);
    const bool was_still =
        straight.empty() || usual_distance(straight, usual(straight)) <= kMostBefore * furthest;
    const bool is_still = usual_distance(between(looks, place_m, place_m + kJustBeyond_m),
                                         settled) <= kMostBeyond * furthest;
    const bool drifted =
        one_way(between(looks, place_m - kComingUp_m, place_m), settled) >= kOneWay;
    return was_still && is_still && drifted ? std::optional(place_m) : std::nullopt;
}

struct Leap {
    double x_m = 0.0;
    double time_s = 0.0;
    double size = 0.0;
};

// By rising place. In time order, as a head that stands still does not leap.
std::vector<Leap> leaps_of(std::span<const PlacedCentre> centres) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < centres.size(); ++i) {
        if (centres[i].time_s - centres[i - 1].time_s < kNextLook_s) {
            steps.push_back(step_between(centres[i - 1], centres[i]));
        }
    }
    if (steps.size() < kFewestSteps) return {};
    const double least = std::max(kLeastStep, kOverSway * quantile(steps, 0.5));
    std::vector<Leap> leaps;
    for (std::size_t i = 1; i < centres.size(); ++i) {
        const PlacedCentre& a = centres[i - 1];
        const PlacedCentre& b = centres[i];
        const double way_m = std::abs(b.x_m - a.x_m);
        if (b.time_s - a.time_s > kLongest_s || way_m < kLeastWay_m || way_m > kWay_m) continue;
        const double size = step_between(a, b);
        if (size <= least) continue;
        leaps.push_back({0.5 * (a.x_m + b.x_m), 0.5 * (a.time_s + b.time_s), size});
    }
    std::ranges::stable_sort(leaps, {}, &Leap::x_m);
    return leaps;
}

// Of leaps at one place: the middle by their sizes, and when the largest was.
Turn middle_of(std::span<const Leap> leaps) {
    Turn turn;
    double weight = 0.0;
    for (const Leap& leap : leaps) {
        turn.x_m += leap.size * leap.x_m;
        weight += leap.size;
    }
    turn.x_m /= weight;
    turn.time_s = std::ranges::max_element(leaps, {}, &Leap::size)->time_s;
    return turn;
}

}  // namespace

std::vector<Turn> sudden_turns(std::span<const PlacedCentre> centres) {
    const std::vector<Leap> leaps = leaps_of(centres);
    std::vector<PlacedCentre> by_place(centres.begin(), centres.end());
    std::ranges::stable_sort(by_place, {}, &PlacedCentre::x_m);
    std::vector<Turn> turns;
    for (std::size_t i = 0, end = 0; i < leaps.size(); i = end) {
        end = i + 1;
        while (end < leaps.size() && leaps[end].x_m - leaps[end - 1].x_m < kOnePlace_m) ++end;
        Turn turn = middle_of(std::span(leaps).subspan(i, end - i));
        const auto place_m = place_of_fitting_m(by_place, turn.x_m);
        if (!place_m) continue;
        turn.x_m = *place_m;
        turns.push_back(turn);
    }
    std::ranges::stable_sort(turns, {}, &Turn::x_m);
    return turns;
}

}  // namespace sondeline
