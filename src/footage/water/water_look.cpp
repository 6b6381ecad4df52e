#include "footage/water/water_look.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

namespace sondeline {
namespace {

// Of the picture's height.
constexpr double kInner = 0.10;
constexpr double kOuter = 0.62;
constexpr int kRatioColumns = 28;
constexpr int kDepthColumns = 40;

constexpr double kEnoughShift = 4.0;   // columns
constexpr double kLeastDetail = 2e-4;  // shared by wall and passed wall, natural logarithm squared
constexpr double kWorthFollowing = 0.15;  // of a shore's edge
constexpr std::size_t kMostFlows = 3;
constexpr double kVeiled = 14.0;  // standard deviation of the light, grey levels
constexpr double kBesideShore_rad = 0.3;

bool is_veiled(const cv::Mat1b& small) {
    cv::Scalar mean;
    cv::Scalar spread;
    cv::meanStdDev(small, mean, spread);
    constexpr double kDark = 25.0;
    return spread[0] < kVeiled && mean[0] > kDark;
}

// Whether a sector looks at the wall, at what lies between the shores, or at neither for sure.
enum class Looks { at_wall, between, at_shore };

Looks where_looks(int sector, const std::optional<Shores>& shores) {
    if (!shores) return Looks::at_wall;
    const double off =
        std::abs(std::remainder(direction_of_sector(sector) - shores->down_rad, 2.0 * CV_PI));
    if (off > shores->half_rad + kBesideShore_rad) return Looks::at_wall;
    return off < std::max(shores->half_rad - kBesideShore_rad, 0.5 * shores->half_rad)
               ? Looks::between
               : Looks::at_shore;
}

// 1 / shift is the distance of the wall from the lens: over direction it is a + b cos + c sin.
using Distance = cv::Vec3d;

double at_direction(const Distance& distance, double direction) {
    return distance[0] + distance[1] * std::cos(direction) + distance[2] * std::sin(direction);
}

std::optional<Distance> distance_of_wall(const WallFlow& flow,
                                         const std::optional<Shores>& shores) {
    constexpr double kAlike = 0.55;
    constexpr double kOdd = 2.5;
    constexpr int kFewest = 8;
    constexpr double kHeldBack = 1.0;  // as much as one sector, towards a lens on the axis
    cv::Matx33d n = cv::Matx33d::diag({0.0, kHeldBack, kHeldBack});
    cv::Vec3d rhs(0, 0, 0);
    int used = 0;
    for (int i = 0; i < flow_sectors; ++i) {
        if (where_looks(i, shores) != Looks::at_wall) continue;
        const FlowSector& sector = flow.sectors[static_cast<std::size_t>(i)];
        const double ratio = sector.best_shift / flow.common;
        if (sector.best_alike < kAlike || ratio < 1.0 / kOdd || ratio > kOdd) continue;
        const double direction = direction_of_sector(i);
        const cv::Vec3d row(1.0, std::cos(direction), std::sin(direction));
        n += row * row.t();
        rhs += (1.0 / ratio) * row;
        ++used;
    }
    Distance distance;
    if (used < kFewest || !cv::solve(n, rhs, distance, cv::DECOMP_CHOLESKY)) return std::nullopt;
    constexpr double kMostLean = 0.9;
    const double lean = std::hypot(distance[1], distance[2]) / distance[0];
    if (distance[0] <= 0.0 || lean > kMostLean) return std::nullopt;
    return distance;
}

FlowLook flow_look(const WallFlow& flow, const std::optional<Shores>& shores) {
    FlowLook look;
    const auto distance = distance_of_wall(flow, shores);
    if (distance) {
        look.lean = cv::Point2d((*distance)[1], (*distance)[2]) / (*distance)[0];
    }
    double wall = 0.0;
    double between = 0.0;
    int walls = 0;
    int betweens = 0;
    for (int i = 0; i < flow_sectors; ++i) {
        const FlowSector& sector = flow.sectors[static_cast<std::size_t>(i)];
        const double away = distance ? at_direction(*distance, direction_of_sector(i)) : 1.0;
        const double shift = flow.common / std::max(away, 0.3);
        if (std::abs(shift) >= most_flow_shift) continue;
        const double gain = sector.shared_at(shift) - sector.shared_at(0.0);
        const Looks where = where_looks(i, shores);
        if (where == Looks::at_wall) {
            wall += gain;
            ++walls;
        } else if (where == Looks::between) {
            between += gain;
            ++betweens;
        }
    }
    if (walls == 0 || betweens == 0) return look;
    wall /= walls;
    between /= betweens;
    if (wall > kLeastDetail) look.passes = between / wall;
    return look;
}

}  // namespace

WaterEye::WaterEye(const cv::Mat1b& small, const cv::Mat1b& unseen, double time_s)
    : unseen_(unseen) {
    look_.time_s = time_s;
    look_.veiled = is_veiled(small);
    const auto view = find_pipe_view(small, unseen);
    if (!view) return;
    look_.pipe = true;
    vanishing_ = view->vanishing;
    const double height = small.rows;
    look_.shores =
        find_shores(unroll(small, unseen, vanishing_,
                           radii_by_ratio(kInner * height, kOuter * height, kRatioColumns)));
    detail_ = detail_of(unroll(small, unseen, vanishing_,
                               radii_by_depth(kInner * height, kOuter * height, kDepthColumns)));
}

bool WaterEye::wants_more() const {
    if (!look_.pipe) return false;
    const bool shores = look_.shores && look_.shores->edge > kWorthFollowing;
    return look_.flows.size() < (shores ? kMostFlows : std::size_t{1});
}

void WaterEye::follow(const cv::Mat1b& small) {
    if (!look_.pipe || small.size() != unseen_.size()) return;
    const WallFlow flow =
        wall_flow(detail_, detail_of(unroll(small, unseen_, vanishing_, detail_.radius)));
    if (std::abs(flow.common) >= kEnoughShift) look_.flows.push_back(flow_look(flow, look_.shores));
}

}  // namespace sondeline
