#include "footage/water/shores.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline {
namespace {

constexpr double kStep = 2.0 * CV_PI / unrolled_directions;

float at(const Round& values, int row) {
    return values[static_cast<std::size_t>(wrapped(row))];
}

// Of a peak among neighbours, by the parabola through them: off the middle one, −½…½.
double peak_off(double before, double here, double after) {
    const double bend = before - 2.0 * here + after;
    return bend < 0.0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0.0;
}

struct Edge {
    double row = 0.0;
    double log_step = 0.0;
    double steady = 0.0;
    double sharp = 0.0;
    double plain = 0.0;
};

// `sign` of the change of light with rising direction.
Edge edge_near(const WallProfile& profile, int row, float sign) {
    int best = row;
    for (int near = row - 1; near <= row + 1; ++near) {
        if (sign * at(profile.steps.step, near) > sign * at(profile.steps.step, best)) best = near;
    }
    const auto step = [&](int i) { return sign * at(profile.steps.step, i); };
    constexpr float kLeastUsual = 0.03F;
    Edge edge;
    edge.row = best + peak_off(step(best - 1), step(best), step(best + 1));
    edge.log_step = sign * at(profile.steps.log_step, best);
    edge.steady = at(profile.steps.steady, best);
    edge.plain = step(best) / std::max(kLeastUsual, profile.usual_step);
    if (step(best) > 0.0F)
        edge.sharp = std::clamp(sign * at(profile.steps.narrow, best) / step(best), 0.0F, 1.5F);
    return edge;
}

double mean_between(const Round& values, int from, int to) {
    double sum = 0.0;
    for (int i = from; i <= to; ++i) sum += at(values, i);
    return sum / std::max(1, to - from + 1);
}

// Mean light of a sector above the dark; empty when little of it is known.
std::optional<double> light_of(const Round& light, const Round& places, double from_rad,
                               double to_rad) {
    double sum = 0.0;
    double count = 0.0;
    const int first = cvRound(from_rad / kStep);
    const int last = std::max(first, cvRound(to_rad / kStep));
    for (int row = first; row <= last; ++row) {
        sum += at(light, row);
        count += at(places, row);
    }
    constexpr double kFewest = 4;
    constexpr double kLeast = 1.0;
    if (count < kFewest) return std::nullopt;
    return std::max(kLeast, sum / count + kLeast);
}

// Natural logarithm of wall over surface in one range of radii.
std::optional<double> contrast(const Round& light, const Round& places, const Shores& shores) {
    constexpr double kBeside_rad = 0.25;
    constexpr double kWide_rad = 0.65;
    const double inner = 0.5 * shores.half_rad;
    const auto surface = light_of(light, places, shores.down_rad - inner, shores.down_rad + inner);
    if (!surface) return std::nullopt;
    double sum = 0.0;
    int sides = 0;
    for (const double side : {-1.0, 1.0}) {
        const double near = shores.down_rad + side * (shores.half_rad + kBeside_rad);
        const double far = near + side * kWide_rad;
        const auto wall = light_of(light, places, std::min(near, far), std::max(near, far));
        if (!wall) continue;
        sum += std::log(*wall / *surface);
        ++sides;
    }
    if (sides == 0) return std::nullopt;
    return sum / sides;
}

}  // namespace

Shores shores_at(const WallProfile& profile, const ShorePair& pair) {
    const Edge from = edge_near(profile, pair.from, -1.0F);
    const Edge to = edge_near(profile, pair.to, 1.0F);
    Shores shores;
    shores.down_rad = std::fmod(0.5 * (from.row + to.row) * kStep + 2.0 * CV_PI, 2.0 * CV_PI);
    shores.half_rad = 0.5 * (to.row - from.row) * kStep;
    shores.edge = std::min(from.log_step, to.log_step);
    shores.steady = std::min(from.steady, to.steady);
    shores.sharp = std::min(from.sharp, to.sharp);
    shores.plain = std::min(from.plain, to.plain);
    shores.plainer = std::max(from.plain, to.plain);
    shores.weight = pair.weight;
    const double inside = mean_between(profile.bustle, pair.from + 3, pair.to - 3);
    const double outside =
        mean_between(profile.bustle, pair.to + 3, pair.from - 3 + unrolled_directions);
    shores.even = std::sqrt(inside / std::max(outside, 1e-6));
    const auto far = contrast(profile.far_light, profile.far_places, shores);
    const auto near = contrast(profile.near_light, profile.near_places, shores);
    constexpr double kLeastContrast = 0.2;
    if (far && near && *near > kLeastContrast) shores.far_over_near = *far / *near;
    return shores;
}

}  // namespace sondeline
