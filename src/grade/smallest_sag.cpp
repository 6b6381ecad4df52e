#include "grade/smallest_sag.hpp"

#include <algorithm>
#include <cmath>

#include "grade/student.hpp"

namespace sondeline::grade {

namespace {

constexpr double kPower = 0.90;
constexpr double kMostLyings = 60.0;
constexpr double kLyingStep_m = 0.25;

// How one sag would be seen from the place that sees it best: standard deviations per metre.
struct Sight {
    double per_m = 0.0;
    StudentTest test;
};

Sight best_sight(const SagTest& test, const std::vector<Sight>& of_places, const SagPlace& sag) {
    Sight best;
    const Eigen::VectorXd qp = q_phi(test, sag);
    for (std::size_t k = 0; k < test.places.size(); ++k) {
        const SagPlace& place = test.places[k];
        if (std::abs(place.centre_m - sag.centre_m) > sag.width_m / 2.0) continue;
        const Sight& sight = of_places[k];
        if (!(sight.per_m > 0.0)) continue;
        const double per_m = in_place(place, qp) / sight.per_m;
        if (per_m / sight.test.threshold <= best.per_m / std::max(1e-9, best.test.threshold))
            continue;
        best = {per_m, sight.test};
    }
    return best;
}

std::vector<Sight> sights(const SagTest& test) {
    std::vector<Sight> all;
    for (const SagPlace& place : test.places) {
        const double a = in_place(place, q_phi(test, place));
        const double freedom = tested_sag(test, place).freedom;
        Sight sight;
        if (a > 0.0) sight = {std::sqrt(a), {alarm_threshold(test, freedom), freedom}};
        all.push_back(sight);
    }
    return all;
}

double mean_power(const std::vector<Sight>& sights, double depth_m) {
    double sum = 0.0;
    for (const Sight& sight : sights) {
        if (sight.per_m > 0.0) sum += student_power(depth_m * sight.per_m, sight.test);
    }
    return sum / static_cast<double>(sights.size());
}

}  // namespace

std::optional<double> smallest_sag_m(const SagTest& test, double length_m, const SagSize& size) {
    const double room_m = length_m - size.width_m;
    if (room_m < 0.0) return std::nullopt;
    const std::vector<Sight> of_places = sights(test);
    const double steps = std::clamp(std::ceil(room_m / kLyingStep_m), 1.0, kMostLyings);
    std::vector<Sight> lyings;
    for (double i = 0.5; i < steps; i += 1.0) {
        const double centre_m = size.width_m / 2.0 + room_m * i / steps;
        lyings.push_back(
            best_sight(test, of_places, sag_place({centre_m, size.width_m}, test.rows)));
    }
    double low = 0.0;
    double high = size.deepest_m;
    if (mean_power(lyings, high) < kPower) return std::nullopt;
    constexpr double enough_m = 1e-5;
    while (high - low > enough_m) {
        const double middle = 0.5 * (low + high);
        (mean_power(lyings, middle) < kPower ? low : high) = middle;
    }
    return high;
}

}  // namespace sondeline::grade
