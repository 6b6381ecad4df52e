#include "footage/water/wall_flow.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace sondeline {
namespace {

constexpr int kRowsPerSector = unrolled_directions / flow_sectors;
constexpr double kFewest = 30;  // places
constexpr double kSure = 0.4;
constexpr std::size_t kFewestSure = 4;  // sectors

// Likeness of the rows about one sector when `after` is moved by so many columns.
struct Match {
    double alike = 0.0;
    double shared = 0.0;
};

// Columns of the earlier picture, from one to before another.
struct Columns {
    int from = 0;
    int to = 0;
};

// Those that are still within the picture when moved.
Columns shared_columns(int columns, int shift) {
    return {std::max(0, -shift), std::min(columns, columns - shift)};
}

Match match_when_moved(const Unrolled& before, const Unrolled& after, int sector, int shift,
                       Columns columns) {
    double n = 0.0, a = 0.0, b = 0.0, aa = 0.0, bb = 0.0, ab = 0.0;
    const int middle = sector * kRowsPerSector;
    for (int row = middle - 3; row <= middle + 3; ++row) {
        const int r = wrapped(row);
        const float* from = before.level.ptr<float>(r);
        const float* to = after.level.ptr<float>(r);
        const uchar* known = before.known.ptr<uchar>(r);
        for (int col = columns.from; col < columns.to; ++col) {
            if (known[col] == 0 || known[col + shift] == 0) continue;
            const double x = from[col];
            const double y = to[col + shift];
            n += 1.0;
            a += x;
            b += y;
            aa += x * x;
            bb += y * y;
            ab += x * y;
        }
    }
    if (n < kFewest) return {};
    const double va = aa - a * a / n;
    const double vb = bb - b * b / n;
    if (va <= 0.0 || vb <= 0.0) return {};
    const double shared = ab - a * b / n;
    return {shared / std::sqrt(va * vb), shared / n};
}

// Where the parabola through three neighbours is highest, off the middle one.
double off_peak(double before, double here, double after) {
    const double bend = before - 2.0 * here + after;
    return bend < 0.0 ? 0.5 * (before - after) / bend : 0.0;
}

// About the shift of the whole row; not told where it is most alike at the end of the search.
FlowSector::Part part_of(const Unrolled& before, const Unrolled& after, int sector, int about,
                         bool near) {
    constexpr int kReach = 4;
    std::array<double, 2 * kReach + 1> alike{};
    const auto shift_of = [&](std::size_t at) { return about - kReach + static_cast<int>(at); };
    for (std::size_t i = 0; i < alike.size(); ++i) {
        const int shift = shift_of(i);
        Columns columns = shared_columns(before.level.cols, shift);
        const int middle = (columns.from + columns.to) / 2;
        (near ? columns.from : columns.to) = middle;
        if (std::abs(shift) > most_flow_shift) continue;
        alike[i] = match_when_moved(before, after, sector, shift, columns).alike;
    }
    const auto top = std::max_element(alike.begin(), alike.end());
    if (top == alike.begin() || top + 1 == alike.end()) return {};
    return {shift_of(static_cast<std::size_t>(top - alike.begin())) +
                off_peak(*(top - 1), *top, *(top + 1)),
            *top};
}

}  // namespace

void tell_halves(const Unrolled& before, const Unrolled& after, WallFlow& flow) {
    for (int number = 0; number < flow_sectors; ++number) {
        FlowSector& sector = flow.sectors[static_cast<std::size_t>(number)];
        const auto about = static_cast<int>(std::lround(sector.best_shift));
        sector.halves[0] = part_of(before, after, number, about, false);
        sector.halves[1] = part_of(before, after, number, about, true);
    }
}

double at_direction(const cv::Vec3d& distance, double direction_rad) {
    return distance[0] + distance[1] * std::cos(direction_rad) +
           distance[2] * std::sin(direction_rad);
}

double FlowSector::shared_at(double shift) const {
    const double at = shift + most_flow_shift;
    const auto below = static_cast<int>(std::floor(at));
    if (below < 0 || below + 1 > 2 * most_flow_shift) return 0.0;
    const auto i = static_cast<std::size_t>(below);
    return std::lerp(shared[i], shared[i + 1], at - below);
}

WallFlow wall_flow(const Unrolled& before, const Unrolled& after) {
    WallFlow flow;
    std::vector<double> peaks;
    for (int number = 0; number < flow_sectors; ++number) {
        FlowSector& sector = flow.sectors[static_cast<std::size_t>(number)];
        for (int shift = -most_flow_shift; shift <= most_flow_shift; ++shift) {
            const Match match = match_when_moved(before, after, number, shift,
                                                 shared_columns(before.level.cols, shift));
            const int above_least = shift + most_flow_shift;
            const auto at = static_cast<std::size_t>(above_least);
            sector.alike[at] = match.alike;
            sector.shared[at] = match.shared;
        }
        const auto top = std::max_element(sector.alike.begin(), sector.alike.end());
        sector.best_alike = *top;
        sector.best_shift = static_cast<double>(top - sector.alike.begin()) - most_flow_shift;
        if (top != sector.alike.begin() && top + 1 != sector.alike.end()) {
            sector.best_shift += off_peak(*(top - 1), *top, *(top + 1));
        }
        if (sector.best_alike > kSure) peaks.push_back(sector.best_shift);
    }
    if (peaks.size() < kFewestSure) return flow;
    const auto middle = peaks.begin() + static_cast<std::ptrdiff_t>(peaks.size() / 2);
    std::nth_element(peaks.begin(), middle, peaks.end());
    flow.common = *middle;
    return flow;
}

std::optional<cv::Vec3d> fit_distance(const std::array<Passed, flow_sectors>& passed,
                                      const std::array<bool, flow_sectors>& used,
                                      const DistanceFit& how) {
    constexpr float kOdd = 2.5F;
    constexpr int kFewestAlike = 8;
    cv::Matx33d n = cv::Matx33d::diag({0.0, how.held_back, how.held_back});
    cv::Vec3d rhs(0, 0, 0);
    int count = 0;
    for (int i = 0; i < flow_sectors; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const Passed& sector = passed[at];
        if (!used[at] || sector.alike < how.least_alike) continue;
        if (sector.shift < 1.0F / kOdd || sector.shift > kOdd) continue;
        const double direction = direction_of_sector(i);
        const cv::Vec3d row(1.0, std::cos(direction), std::sin(direction));
        n += row * row.t();
        rhs += (1.0 / sector.shift) * row;
        ++count;
    }
    cv::Vec3d distance;
    if (count < kFewestAlike || !cv::solve(n, rhs, distance, cv::DECOMP_CHOLESKY))
        return std::nullopt;
    constexpr double kMostLean = 0.9;
    const double lean = std::hypot(distance[1], distance[2]) / distance[0];
    if (distance[0] <= 0.0 || lean > kMostLean) return std::nullopt;
    return distance;
}

std::optional<cv::Vec3d> distance_of_wall(const WallPassing& passing,
                                          const std::array<bool, flow_sectors>& used) {
    std::array<Passed, flow_sectors> passed{};
    for (std::size_t i = 0; i < flow_sectors; ++i) passed[i] = {passing[i].shift, passing[i].alike};
    return fit_distance(passed, used, {});
}

WallPassing passing_of(const WallFlow& flow) {
    WallPassing passing{};
    std::array<bool, flow_sectors> used{};
    used.fill(true);
    for (std::size_t i = 0; i < flow_sectors; ++i) {
        passing[i].shift = static_cast<float>(flow.sectors[i].best_shift / flow.common);
        passing[i].alike = static_cast<float>(flow.sectors[i].best_alike);
        for (std::size_t half = 0; half < 2; ++half) {
            const FlowSector::Part& part = flow.sectors[i].halves[half];
            passing[i].halves[half] = {static_cast<float>(part.shift / flow.common),
                                       static_cast<float>(part.alike)};
        }
    }
    // What does not lie on the wall passes at another pace: left out of the second fit.
    constexpr double kOff = 0.3;
    auto distance = distance_of_wall(passing, used);
    if (distance) {
        for (std::size_t i = 0; i < flow_sectors; ++i) {
            const double fit = at_direction(*distance, direction_of_sector(static_cast<int>(i)));
            used[i] = std::abs(1.0 / std::max(0.1F, passing[i].shift) - fit) < kOff;
        }
        const auto again = distance_of_wall(passing, used);
        if (again) distance = again;
    }
    for (std::size_t i = 0; i < flow_sectors; ++i) {
        const double away =
            distance ? at_direction(*distance, direction_of_sector(static_cast<int>(i))) : 1.0;
        const double shift = flow.common / std::max(away, 0.3);
        passing[i].passes =
            static_cast<float>(flow.sectors[i].shared_at(shift) - flow.sectors[i].shared_at(0.0));
    }
    return passing;
}

}  // namespace sondeline
