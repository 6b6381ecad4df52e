#include "footage/water/water_look.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/imgproc.hpp>

#include "footage/water/placed_looks.hpp"

namespace sondeline {
namespace {

// Of the picture's height.
constexpr double kInner = 0.10;
constexpr double kOuter = 0.62;
constexpr int kRatioColumns = 28;
constexpr int kDepthColumns = 40;

constexpr double kEnoughShift = 4.0;   // columns
constexpr double kLeastDetail = 2e-4;  // shared by wall and passed wall, natural logarithm squared
constexpr std::size_t kMostFlows = 2;
constexpr double kVeiled = 14.0;  // standard deviation of the light, grey levels
// Of 1 / radius in heights of the picture, by which the wall moves between two columns.
constexpr double kColumn = (1.0 / kInner - 1.0 / kOuter) / (kDepthColumns - 1);

bool is_veiled(const cv::Mat1b& small) {
    cv::Scalar mean;
    cv::Scalar spread;
    cv::meanStdDev(small, mean, spread);
    constexpr double kDark = 25.0;
    return spread[0] < kVeiled && mean[0] > kDark;
}

FlowLook flow_look(const PassedWall& passed, const std::optional<Shores>& shores) {
    FlowLook look;
    look.later_s = passed.later_s;
    look.moved = passed.moved;
    std::array<bool, flow_sectors> at_wall{};
    for (int i = 0; i < flow_sectors; ++i) {
        at_wall[static_cast<std::size_t>(i)] =
            !shores || beside_shores(direction_of_sector(i), *shores) == Beside::wall;
    }
    if (const auto distance = distance_of_wall(passed.sectors, at_wall)) {
        look.lean = cv::Point2d((*distance)[1], (*distance)[2]) / (*distance)[0];
    }
    return look;
}

// Once the lens's height is known from all of them.
void take_votes(std::span<const WaterSight> sights, std::vector<WaterLook>& looks) {
    const double height = lens_height_of(looks).value;
    for (std::size_t i = 0; i < looks.size(); ++i) {
        if (!looks[i].shores) continue;
        for (std::size_t k = 0; k < looks[i].flows.size(); ++k) {
            const PassedWall& passed = sights[i].flows[k];
            looks[i].flows[k].vote =
                passing_vote(passed.sectors, passed.moved / kColumn, *looks[i].shores, height);
        }
    }
}

// How much of the detail of each direction passes as the wall does, over the wall's own.
std::optional<Round> passing_round(const std::vector<PassedWall>& flows) {
    constexpr std::size_t kWall = flow_sectors * 3 / 4;  // deep water takes half of the sectors
    std::array<float, flow_sectors> sum{};
    for (const PassedWall& flow : flows) {
        for (std::size_t i = 0; i < flow_sectors; ++i) sum[i] += flow.sectors[i].passes;
    }
    std::array<float, flow_sectors> sorted = sum;
    std::nth_element(sorted.begin(), sorted.begin() + kWall, sorted.end());
    const float wall = sorted[kWall];
    if (flows.empty() || wall < kLeastDetail * static_cast<double>(flows.size())) {
        return std::nullopt;
    }
    Round round{};
    constexpr int kEach = unrolled_directions / flow_sectors;
    for (int row = 0; row < unrolled_directions; ++row) {
        const auto sector = static_cast<std::size_t>((row + kEach / 2) / kEach % flow_sectors);
        round[static_cast<std::size_t>(row)] = std::clamp(sum[sector] / wall, 0.0F, 1.0F);
    }
    return round;
}

}  // namespace

std::vector<WaterLook> looks_of(std::span<const WaterSight> sights) {
    std::vector<const WallProfile*> profiles;
    profiles.reserve(sights.size());
    for (const WaterSight& sight : sights) {
        profiles.push_back(sight.profile ? &*sight.profile : nullptr);
    }
    const auto track = track_shores(profiles);
    std::vector<WaterLook> looks;
    looks.reserve(sights.size());
    for (std::size_t i = 0; i < sights.size(); ++i) {
        WaterLook look{sights[i].time_s, sights[i].profile.has_value(), sights[i].veiled};
        if (sights[i].profile) look.marks = sights[i].profile->usual_step;
        if (track[i]) look.shores = shores_at(*profiles[i], *track[i]);
        for (const PassedWall& flow : sights[i].flows) {
            look.flows.push_back(flow_look(flow, look.shores));
        }
        looks.push_back(std::move(look));
    }
    take_votes(sights, looks);
    return looks;
}

WaterEye::WaterEye(const cv::Mat1b& small, const cv::Mat1b& unseen, double time_s,
                   const std::optional<cv::Point2d>& before)
    : unseen_(unseen) {
    sight_.time_s = time_s;
    sight_.veiled = is_veiled(small);
    if (const auto view = find_pipe_view(small, unseen)) found_ = view->vanishing;
    if (!found_ && (!before || sight_.veiled)) return;
    vanishing_ = found_ ? *found_ : *before;
    const double height = small.rows;
    sight_.profile =
        profile_of(unroll(small, unseen, vanishing_,
                          radii_by_ratio(kInner * height, kOuter * height, kRatioColumns)));
    detail_ = detail_of(unroll(small, unseen, vanishing_,
                               radii_by_depth(kInner * height, kOuter * height, kDepthColumns)));
}

bool WaterEye::wants_more() const {
    return sight_.profile && sight_.flows.size() < kMostFlows;
}

void WaterEye::follow(const cv::Mat1b& small, double time_s) {
    if (!sight_.profile || small.size() != unseen_.size()) return;
    const WallFlow flow =
        wall_flow(detail_, detail_of(unroll(small, unseen_, vanishing_, detail_.radius)));
    if (std::abs(flow.common) < kEnoughShift) return;
    sight_.flows.push_back({passing_of(flow), time_s, flow.common * kColumn});
    sight_.profile->passes = passing_round(sight_.flows);
}

}  // namespace sondeline
