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

}  // namespace sondeline
