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

// Of the rows about one sector.
struct Match {
    double alike = 0.0;
    double shared = 0.0;
};

Match match_of(const PairSums& sums, std::size_t shift) {
    const double n = sums.n[shift];
    if (n < kFewest) return {};
    const double a = sums.a[shift];
    const double b = sums.b[shift];
    const double va = sums.aa[shift] - a * a / n;
    const double vb = sums.bb[shift] - b * b / n;
    if (va <= 0.0 || vb <= 0.0) return {};
    const double shared = sums.ab[shift] - a * b / n;
    return {shared / std::sqrt(va * vb), shared / n};
}

RowLikeness about_sector(const std::vector<RowLikeness>& rows, int sector) {
    constexpr int kBeside = 3;  // rows
    RowLikeness sum;
    const int middle = sector * kRowsPerSector;
    for (int row = middle - kBeside; row <= middle + kBeside; ++row) {
        const RowLikeness& one = rows[static_cast<std::size_t>(wrapped(row))];
        for (std::size_t half = 0; half < 2; ++half) {
            sum.on[half] += one.on[half];
            sum.back[half] += one.back[half];
        }
    }
    return sum;
}

// Where the parabola through three neighbours is highest, off the middle one.
double off_peak(double before, double here, double after) {
    const double bend = before - 2.0 * here + after;
    return bend < 0.0 ? 0.5 * (before - after) / bend : 0.0;
}

// Likeness by shift, −most_flow_shift … most_flow_shift.
using Matches = std::array<Match, 2 * most_flow_shift + 1>;

constexpr auto kShifts = static_cast<std::ptrdiff_t>(std::tuple_size_v<Matches>);

// Those from one place to another only.
Matches matches_of(const PairSums& on, const PairSums& back, std::ptrdiff_t from,
                   std::ptrdiff_t to) {
    Matches some{};
    for (std::ptrdiff_t i = from; i < to; ++i) {
        const std::ptrdiff_t shift = i - most_flow_shift;
        some[static_cast<std::size_t>(i)] = shift < 0
                                                ? match_of(back, static_cast<std::size_t>(-shift))
                                                : match_of(on, static_cast<std::size_t>(shift));
    }
    return some;
}

// About the shift of the whole row; not told where it is most alike at the end of the search.
FlowSector::Part part_of(const PairSums& on, const PairSums& back, double about_shift) {
    constexpr std::ptrdiff_t kReach = 4;
    const auto about = static_cast<std::ptrdiff_t>(std::lround(about_shift)) + most_flow_shift;
    const std::ptrdiff_t first = std::max<std::ptrdiff_t>(0, about - kReach);
    const std::ptrdiff_t last = std::min(kShifts, about + kReach + 1);
    const Matches matches = matches_of(on, back, first, last);
    const auto from = matches.begin() + first;
    const auto to = matches.begin() + last;
    const auto top = std::max_element(
        from, to, [](const Match& x, const Match& y) { return x.alike < y.alike; });
    if (top == from || top + 1 == to) return {};
    return {static_cast<double>(top - matches.begin()) - most_flow_shift +
                off_peak((top - 1)->alike, top->alike, (top + 1)->alike),
            top->alike};
}

FlowSector sector_of(const RowLikeness& sums) {
    FlowSector sector;
    PairSums on = sums.on[0];
    PairSums back = sums.back[0];
    on += sums.on[1];
    back += sums.back[1];
    const Matches whole = matches_of(on, back, 0, kShifts);
    for (std::size_t i = 0; i < whole.size(); ++i) {
        sector.alike[i] = whole[i].alike;
        sector.shared[i] = whole[i].shared;
    }
    const auto top = std::max_element(sector.alike.begin(), sector.alike.end());
    sector.best_alike = *top;
    sector.best_shift = static_cast<double>(top - sector.alike.begin()) - most_flow_shift;
    if (top != sector.alike.begin() && top + 1 != sector.alike.end()) {
        sector.best_shift += off_peak(*(top - 1), *top, *(top + 1));
    }
    for (std::size_t half = 0; half < 2; ++half) {
        sector.halves[half] = part_of(sums.on[half], sums.back[half], sector.best_shift);
    }
    return sector;
}

}  // namespace

double at_direction(const cv::Vec3d& distance, double direction_rad) {
    return distance[0] + distance[1] * std::cos(direction_rad) +
           distance[2] * std::sin(direction_rad);
}

namespace {

// Cosine and sine of each sector's direction; asked for thousands of times a second.
const std::array<cv::Point2d, flow_sectors>& units_of_sectors() {
    static const auto units = [] {
        std::array<cv::Point2d, flow_sectors> made;
        for (int i = 0; i < flow_sectors; ++i) {
            const double direction = direction_of_sector(i);
            made[static_cast<std::size_t>(i)] = {std::cos(direction), std::sin(direction)};
        }
        return made;
    }();
    return units;
}

}  // namespace

double at_sector(const cv::Vec3d& distance, int sector) {
    const cv::Point2d& unit = units_of_sectors()[static_cast<std::size_t>(sector)];
    return distance[0] + distance[1] * unit.x + distance[2] * unit.y;
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
    const auto rows = row_likeness(before, after);
    for (int number = 0; number < flow_sectors; ++number) {
        FlowSector& sector = flow.sectors[static_cast<std::size_t>(number)];
        sector = sector_of(about_sector(rows, number));
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
        const cv::Point2d& unit = units_of_sectors()[at];
        const cv::Vec3d row(1.0, unit.x, unit.y);
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
            const double fit = at_sector(*distance, static_cast<int>(i));
            used[i] = std::abs(1.0 / std::max(0.1F, passing[i].shift) - fit) < kOff;
        }
        const auto again = distance_of_wall(passing, used);
        if (again) distance = again;
    }
    for (std::size_t i = 0; i < flow_sectors; ++i) {
        const double away = distance ? at_sector(*distance, static_cast<int>(i)) : 1.0;
        const double shift = flow.common / std::max(away, 0.3);
        passing[i].passes =
            static_cast<float>(flow.sectors[i].shared_at(shift) - flow.sectors[i].shared_at(0.0));
    }
    return passing;
}

}  // namespace sondeline
