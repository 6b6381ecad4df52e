#include "footage/passing/turns.hpp"

#include <algorithm>
#include <cmath>

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

double step_between(const PlacedCentre& a, const PlacedCentre& b) {
    return std::hypot(b.across - a.across, b.down - a.down);
}

}  // namespace

std::vector<Turn> sudden_turns(std::span<const PlacedCentre> centres) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < centres.size(); ++i) {
        if (centres[i].time_s - centres[i - 1].time_s < kNextLook_s) {
            steps.push_back(step_between(centres[i - 1], centres[i]));
        }
    }
    if (steps.size() < kFewestSteps) return {};
    const double least = std::max(kLeastStep, kOverSway * quantile(steps, 0.5));
    struct Leap {
        double x_m = 0.0;
        double time_s = 0.0;
        double size = 0.0;
    };
    std::vector<Leap> leaps;
    for (std::size_t i = 1; i < centres.size(); ++i) {
        const PlacedCentre& a = centres[i - 1];
        const PlacedCentre& b = centres[i];
        const double way_m = std::abs(b.x_m - a.x_m);
        if (b.time_s - a.time_s > kLongest_s || way_m < kLeastWay_m || way_m > kWay_m) continue;
        const double size = step_between(a, b);
        if (size > least) {
            leaps.push_back({0.5 * (a.x_m + b.x_m), 0.5 * (a.time_s + b.time_s), size});
        }
    }
    std::ranges::stable_sort(leaps, {}, &Leap::x_m);
    std::vector<Turn> turns;
    for (std::size_t i = 0; i < leaps.size();) {
        std::size_t last = i;
        while (last + 1 < leaps.size() && leaps[last + 1].x_m - leaps[last].x_m < kOnePlace_m) {
            ++last;
        }
        double weight = 0.0;
        Turn turn;
        double most = 0.0;
        for (; i <= last; ++i) {
            turn.x_m += leaps[i].size * leaps[i].x_m;
            weight += leaps[i].size;
            if (leaps[i].size <= most) continue;
            most = leaps[i].size;
            turn.time_s = leaps[i].time_s;
        }
        turn.x_m /= weight;
        turns.push_back(turn);
    }
    return turns;
}

}  // namespace sondeline
