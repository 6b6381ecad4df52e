#include "footage/water/shores.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace sondeline {
namespace {

constexpr int kBeside = 3;         // directions averaged on either side of an edge
constexpr int kSharp = 2;          // the same while shores are sought: softer edges are none
constexpr int kApart = 4;          // so far beside an edge its slope is taken
constexpr float kMostStep = 0.7F;  // a single place counts no more than this
constexpr int kNarrowest = 4;      // half widths sought, in directions
constexpr int kWidest = 31;
constexpr double kStep = 2.0 * CV_PI / unrolled_directions;

using Round = std::array<double, unrolled_directions>;

struct Edges {
    Round step;    // change of light across a direction, weighted by how steady it is
    Round bustle;  // mean square of changes from one direction to the next
};

// A step stands out of the slope of light about it; the edge of a glow does not.
double without_slope(double before, double here, double after) {
    const double slope = 0.5 * (before + after);
    const double step = here - slope;
    return step * here > 0.0 ? step : 0.0;
}

Edges edges_of(const Unrolled& wall) {
    Edges edges{};
    Round mean{};
    Round steady{};
    const int columns = wall.level.cols;
    for (int row = 0; row < unrolled_directions; ++row) {
        double sum = 0.0;
        double square = 0.0;
        int up = 0;
        int down = 0;
        int count = 0;
        for (int col = 0; col < columns; ++col) {
            float ahead = 0.0F;
            float behind = 0.0F;
            bool known = wall.known(row, col) != 0;
            for (int k = 1; k <= kSharp; ++k) {
                known = known && wall.known(wrapped(row + k), col) != 0 &&
                        wall.known(wrapped(row - k), col) != 0;
                ahead += wall.level(wrapped(row + k), col);
                behind += wall.level(wrapped(row - k), col);
            }
            if (!known) continue;
            const float step = std::clamp((ahead - behind) / kSharp, -kMostStep, kMostStep);
            const float next = wall.level(wrapped(row + 1), col) - wall.level(row, col);
            sum += step;
            square += next * next;
            up += step > 0.03F ? 1 : 0;
            down += step < -0.03F ? 1 : 0;
            ++count;
        }
        const auto at = static_cast<std::size_t>(row);
        const bool enough = count >= columns / 3;
        mean[at] = enough ? sum / count : 0.0;
        steady[at] = enough ? std::max(up, down) / static_cast<double>(count) : 0.0;
        edges.bustle[at] = enough ? square / count : 0.0;
    }
    for (int row = 0; row < unrolled_directions; ++row) {
        const auto at = [&](int i) { return mean[static_cast<std::size_t>(wrapped(i))]; };
        const auto here = static_cast<std::size_t>(row);
        edges.step[here] =
            steady[here] * without_slope(at(row - kApart), at(row), at(row + kApart));
    }
    return edges;
}

double mean_between(const Round& values, int from, int to) {
    double sum = 0.0;
    for (int i = from; i <= to; ++i) sum += values[static_cast<std::size_t>(wrapped(i))];
    return sum / std::max(1, to - from + 1);
}

// Of a peak among neighbours, by the parabola through them: off the middle one, −½…½.
double peak_off(double before, double here, double after) {
    const double bend = before - 2.0 * here + after;
    return bend < 0.0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0.0;
}

// One shore as seen near the lens, where water is met first.
struct NearEdge {
    double row = 0.0;
    double step = 0.0;
    double steady = 0.0;
    double sharp = 0.0;
};

double step_at(const Unrolled& wall, int row, int col, int reach) {
    double step = 0.0;
    for (int k = 1; k <= reach; ++k) {
        const int ahead = wrapped(row + k);
        const int behind = wrapped(row - k);
        if (wall.known(ahead, col) == 0 || wall.known(behind, col) == 0) {
            return std::numeric_limits<double>::quiet_NaN();
        }
        step += wall.level(ahead, col) - wall.level(behind, col);
    }
    return step / reach;
}

// `sign` of the change of light with rising direction.
std::optional<NearEdge> near_edge(const Unrolled& wall, int coarse_row, double sign) {
    constexpr int kSearch = 9;
    constexpr double kNear = 0.5;  // of the outermost radius
    constexpr double kStepKept = 1.2;
    constexpr double kSeen = 0.06;
    constexpr int kFewest = 4;
    constexpr int kAround = kSearch + kApart;
    std::array<NearEdge, 2 * kAround + 1> seen_at{};
    for (int i = 0; i <= 2 * kAround; ++i) {
        double sum = 0.0;
        double narrow = 0.0;
        int seen = 0;
        int count = 0;
        for (int col = 0; col < wall.level.cols; ++col) {
            if (wall.radius[static_cast<std::size_t>(col)] < kNear * wall.radius.back()) continue;
            const int row = coarse_row + i - kAround;
            const double step = sign * step_at(wall, row, col, kBeside);
            if (std::isnan(step)) continue;
            sum += std::clamp(step, -kStepKept, kStepKept);
            narrow += std::clamp(sign * step_at(wall, row, col, 1), -kStepKept, kStepKept);
            seen += step > kSeen ? 1 : 0;
            ++count;
        }
        if (count < kFewest) continue;
        NearEdge& edge = seen_at[static_cast<std::size_t>(i)];
        edge.row = coarse_row + i - kAround;
        edge.step = sum / count;
        edge.steady = static_cast<double>(seen) / count;
        edge.sharp = sum > 0.0 ? std::clamp(narrow / sum, 0.0, 1.5) : 0.0;
    }
    const auto step = [&](int i) { return seen_at[static_cast<std::size_t>(i)].step; };
    int best = -1;
    double most = 0.0;
    for (int i = kApart; i <= 2 * kAround - kApart; ++i) {
        const double stands_out = without_slope(step(i - kApart), step(i), step(i + kApart));
        if (step(i) <= 0.0 || stands_out <= most) continue;
        most = stands_out;
        best = i;
    }
    if (best < 0) return std::nullopt;
    NearEdge edge = seen_at[static_cast<std::size_t>(best)];
    edge.row += peak_off(step(best - 1), step(best), step(best + 1));
    return edge;
}

struct Pair {
    int from = 0;
    int to = 0;
    double even = 1.0;
    double score = 0.0;
};

// Over all distances at once: into the darker at one side, out of it at the other.
Pair coarse_pair(const Edges& edges) {
    const auto step = [&](int row) { return edges.step[static_cast<std::size_t>(wrapped(row))]; };
    const auto is_peak = [&](int row, double sign) {
        const double here = sign * step(row);
        return here > 0.0 && here >= sign * step(row - 1) && here >= sign * step(row + 1);
    };
    Pair best;
    for (int from = 0; from < unrolled_directions; ++from) {
        if (!is_peak(from, -1.0)) continue;
        for (int to = from + 2 * kNarrowest; to <= from + 2 * kWidest; ++to) {
            if (!is_peak(to, 1.0)) continue;
            const double inside = mean_between(edges.bustle, from + 3, to - 3);
            const double outside =
                mean_between(edges.bustle, to + 3, from - 3 + unrolled_directions);
            const double even = std::sqrt(inside / std::max(outside, 1e-6));
            const double score = std::min(-step(from), step(to)) * (1.5 - std::min(1.0, even));
            if (score > best.score) best = {from, to, even, score};
        }
    }
    return best;
}

// Mean light of a sector between two radii, above the dark; empty when little of it is known.
std::optional<double> light_of(const Unrolled& wall, double from_rad, double to_rad,
                               double from_share, double to_share) {
    double sum = 0.0;
    int count = 0;
    const int first = cvRound(from_rad / kStep);
    const int last = std::max(first, cvRound(to_rad / kStep));
    for (int row = first; row <= last; ++row) {
        for (int col = 0; col < wall.level.cols; ++col) {
            const float share = wall.radius[static_cast<std::size_t>(col)] / wall.radius.back();
            if (share < from_share || share > to_share) continue;
            if (wall.known(wrapped(row), col) == 0) continue;
            sum += std::exp(wall.level(wrapped(row), col)) - unrolled_black - wall.dark;
            ++count;
        }
    }
    constexpr int kFewest = 4;
    constexpr double kLeast = 1.0;
    if (count < kFewest) return std::nullopt;
    return std::max(kLeast, sum / count + kLeast);
}

// Natural logarithm of wall over surface in one range of radii.
std::optional<double> contrast(const Unrolled& wall, const Shores& shores, double from_share,
                               double to_share) {
    constexpr double kBeside_rad = 0.25;
    constexpr double kWide_rad = 0.65;
    const double inner = 0.5 * shores.half_rad;
    const auto surface =
        light_of(wall, shores.down_rad - inner, shores.down_rad + inner, from_share, to_share);
    if (!surface) return std::nullopt;
    double sum = 0.0;
    int sides = 0;
    for (const double side : {-1.0, 1.0}) {
        const double near = shores.down_rad + side * (shores.half_rad + kBeside_rad);
        const double far = near + side * kWide_rad;
        const auto light =
            light_of(wall, std::min(near, far), std::max(near, far), from_share, to_share);
        if (!light) continue;
        sum += std::log(*light / *surface);
        ++sides;
    }
    if (sides == 0) return std::nullopt;
    return sum / sides;
}

}  // namespace

std::optional<Shores> find_shores(const Unrolled& wall) {
    const Pair pair = coarse_pair(edges_of(wall));
    if (pair.score <= 0.0) return std::nullopt;
    const auto from = near_edge(wall, pair.from, -1.0);
    const auto to = near_edge(wall, pair.to, 1.0);
    if (!from || !to || to->row - from->row < 2.0) return std::nullopt;
    Shores shores;
    shores.down_rad = std::fmod((0.5 * (from->row + to->row)) * kStep + 2.0 * CV_PI, 2.0 * CV_PI);
    shores.half_rad = 0.5 * (to->row - from->row) * kStep;
    shores.edge = std::min(from->step, to->step);
    shores.steady = std::min(from->steady, to->steady);
    shores.sharp = std::min(from->sharp, to->sharp);
    shores.even = pair.even;
    const auto far = contrast(wall, shores, 0.22, 0.36);
    const auto near = contrast(wall, shores, 0.55, 0.9);
    constexpr double kLeastContrast = 0.2;
    if (far && near && *near > kLeastContrast) shores.far_over_near = *far / *near;
    return shores;
}

}  // namespace sondeline
