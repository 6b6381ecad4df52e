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

Match match_when_moved(const Unrolled& before, const Unrolled& after, int sector, int shift) {
    double n = 0.0, a = 0.0, b = 0.0, aa = 0.0, bb = 0.0, ab = 0.0;
    const int middle = sector * kRowsPerSector;
    for (int row = middle - 3; row <= middle + 3; ++row) {
        const int r = wrapped(row);
        const float* from = before.level.ptr<float>(r);
        const float* to = after.level.ptr<float>(r);
        const uchar* known = before.known.ptr<uchar>(r);
        const int last = std::min(before.level.cols, before.level.cols - shift);
        for (int col = std::max(0, -shift); col < last; ++col) {
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

}  // namespace

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
            const Match match = match_when_moved(before, after, number, shift);
            const int above_least = shift + most_flow_shift;
            const auto at = static_cast<std::size_t>(above_least);
            sector.alike[at] = match.alike;
            sector.shared[at] = match.shared;
        }
        const auto top = std::max_element(sector.alike.begin(), sector.alike.end());
        sector.best_alike = *top;
        sector.best_shift = static_cast<double>(top - sector.alike.begin()) - most_flow_shift;
        if (top != sector.alike.begin() && top + 1 != sector.alike.end()) {
            const double bend = *(top - 1) - 2.0 * *top + *(top + 1);
            if (bend < 0.0) sector.best_shift += 0.5 * (*(top - 1) - *(top + 1)) / bend;
        }
        if (sector.best_alike > kSure) peaks.push_back(sector.best_shift);
    }
    if (peaks.size() < kFewestSure) return flow;
    const auto middle = peaks.begin() + static_cast<std::ptrdiff_t>(peaks.size() / 2);
    std::nth_element(peaks.begin(), middle, peaks.end());
    flow.common = *middle;
    return flow;
}

std::optional<cv::Vec3d> distance_of_wall(const WallPassing& passing,
                                          const std::array<bool, flow_sectors>& used) {
    constexpr float kAlike = 0.55F;
    constexpr float kOdd = 2.5F;
    constexpr int kFewestAlike = 8;
    constexpr double kHeldBack = 1.0;  // as much as one sector, towards a lens on the axis
    cv::Matx33d n = cv::Matx33d::diag({0.0, kHeldBack, kHeldBack});
    cv::Vec3d rhs(0, 0, 0);
    int count = 0;
    for (int i = 0; i < flow_sectors; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const SectorPassing& sector = passing[at];
        if (!used[at] || sector.alike < kAlike) continue;
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

WallPassing passing_of(const WallFlow& flow) {
    WallPassing passing{};
    std::array<bool, flow_sectors> used{};
    used.fill(true);
    for (std::size_t i = 0; i < flow_sectors; ++i) {
        passing[i].shift = static_cast<float>(flow.sectors[i].best_shift / flow.common);
        passing[i].alike = static_cast<float>(flow.sectors[i].best_alike);
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
