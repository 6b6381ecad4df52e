#include "footage/water/water_look.hpp"

#include <algorithm>
#include <cmath>

#include <opencv2/core.hpp>

#include "footage/water/smooth.hpp"

namespace sondeline {
namespace {

// Of the picture's height.
constexpr double kInner = 0.10;
constexpr double kOuter = 0.62;
constexpr int kRatioColumns = 28;
constexpr int kDepthColumns = 40;

constexpr double kEnoughShift = 4.0;   // columns
constexpr double kLeastDetail = 2e-4;  // shared by wall and passed wall, natural logarithm squared
constexpr double kNeither = 0.4;       // that passes, where it speaks neither for wall nor surface
constexpr std::size_t kMostFlows = 2;
constexpr double kVeiled = 14.0;        // standard deviation of the light, grey levels
constexpr double kVeiledDarkest = 0.6;  // of the mean light
// Of 1 / radius in heights of the picture, by which the wall moves between two columns.
constexpr double kColumn = (1.0 / kInner - 1.0 / kOuter) / (kDepthColumns - 1);

// Lit, but with nothing dark in it, as the pipe's far end is: murk throws the light back before the
// lens. Lamps and what they glint on may be as bright as ever.
bool is_veiled(const cv::Mat1b& small, const cv::Mat1b& smooth) {
    cv::Scalar mean;
    cv::Scalar spread;
    cv::meanStdDev(small, mean, spread);
    constexpr double kDark = 25.0;
    if (mean[0] <= kDark) return false;
    if (spread[0] < kVeiled) return true;
    double darkest = 0.0;
    cv::minMaxLoc(smooth, &darkest, nullptr);
    return darkest > kVeiledDarkest * mean[0];
}

// Of what is seen.
float mean_light(const cv::Mat1b& small, const cv::Mat1b& unseen) {
    int sum = 0;
    int count = 0;
    for (int row = 0; row < small.rows; ++row) {
        const uchar* light = small.ptr<uchar>(row);
        const uchar* hidden = unseen.ptr<uchar>(row);
        for (int col = 0; col < small.cols; ++col) {
            sum += hidden[col] == 0 ? light[col] : 0;
            count += hidden[col] == 0 ? 1 : 0;
        }
    }
    return count > 0 ? static_cast<float>(sum * (1.0 / count)) : 0.0F;
}

void append(const std::vector<WallRing>& more, std::vector<WallRing>& rings) {
    rings.insert(rings.end(), more.begin(), more.end());
}

// When the wall moved by so many columns, on or back.
HalvesAt halves_at(double shift) {
    const int far = far_columns(kDepthColumns);
    const auto at = [shift](double column) {
        return 2.0 / kInner - kColumn * (2.0 * column + shift);
    };
    return {at(0.5 * (far - 1)), at(0.5 * (far + kDepthColumns - shift - 1.0))};
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
    look.lens = lens_lean(passed.sectors, at_wall, halves_at(std::abs(passed.moved) / kColumn));
    return look;
}

// Once the lens's height is known from all of them.
void take_votes(std::span<const WaterSight> sights, std::vector<WaterLook>& looks) {
    // Of all columns, before and after: 1 / radius of their middle, twice.
    constexpr double kBoth = 1.0 / kInner + 1.0 / kOuter;
    const LensPlace place = place_of_lens(looks);
    const LensInPassing lens{1.0 - 2.0 * place.height.value, kBoth * place.off_down};
    for (std::size_t i = 0; i < looks.size(); ++i) {
        if (!looks[i].shores) continue;
        for (std::size_t k = 0; k < looks[i].flows.size(); ++k) {
            const PassedWall& passed = sights[i].flows[k];
            looks[i].flows[k].vote =
                passing_vote(passed.sectors, passed.moved / kColumn, *looks[i].shores, lens);
        }
    }
}

// How much of the wall's detail in each direction passes as the wall does, over what does so all
// round; empty on a wall without marks.
std::optional<std::array<double, flow_sectors>> shared_round(const std::vector<PassedWall>& flows) {
    constexpr std::size_t kWall = flow_sectors * 3 / 4;  // deep water takes half of the sectors
    std::array<double, flow_sectors> sum{};
    for (const PassedWall& flow : flows) {
        for (std::size_t i = 0; i < flow_sectors; ++i) sum[i] += flow.sectors[i].passes;
    }
    std::array<double, flow_sectors> sorted = sum;
    std::nth_element(sorted.begin(), sorted.begin() + kWall, sorted.end());
    const double wall = sorted[kWall];
    if (flows.empty() || wall < kLeastDetail * static_cast<double>(flows.size())) {
        return std::nullopt;
    }
    for (double& share : sum) share = std::clamp(share / wall, 0.0, 1.0);
    return sum;
}

// Share of the pictures in which each direction passes at the wall's pace; empty where none tells.
std::optional<std::array<double, flow_sectors>> pace_round(const std::vector<PassedWall>& flows) {
    constexpr double kUnsure = 0.35;  // share of the directions that agree …
    constexpr double kSure = 0.65;    // … from none of which to all their weight
    std::array<double, flow_sectors> round{};
    round.fill(kNeither);
    bool any = false;
    for (const PassedWall& flow : flows) {
        const auto paces = paces_of(flow.sectors, flow.moved / kColumn);
        if (!paces) continue;
        const auto agree = static_cast<double>(std::ranges::count(*paces, Pace::of_wall));
        const auto known = flow_sectors - std::ranges::count(*paces, Pace::unknown);
        const double share = known > 0 ? agree / static_cast<double>(known) : 0.0;
        const double trust = std::clamp((share - kUnsure) / (kSure - kUnsure), 0.0, 1.0);
        for (std::size_t i = 0; i < flow_sectors; ++i) {
            if ((*paces)[i] == Pace::unknown) continue;
            round[i] += trust * (((*paces)[i] == Pace::of_wall ? 1.0 : 0.0) - kNeither) /
                        static_cast<double>(flows.size());
        }
        any = true;
    }
    return any ? std::optional(round) : std::nullopt;
}

// Mostly by pace; but where hardly any of the wall's detail is seen, a pace does not speak for
// wall.
std::optional<Round> passing_round(const std::vector<PassedWall>& flows) {
    constexpr double kHardlyAny = 0.1;
    constexpr double kOfDetail = 0.15;  // weight of how much of it there is
    const auto shared = shared_round(flows);
    const auto pace = pace_round(flows);
    if (!shared && !pace) return std::nullopt;
    Round round{};
    constexpr int kEach = unrolled_directions / flow_sectors;
    for (int row = 0; row < unrolled_directions; ++row) {
        const auto sector = static_cast<std::size_t>((row + kEach / 2) / kEach % flow_sectors);
        const double detail = shared ? (*shared)[sector] : kNeither;
        double by_pace = pace ? (*pace)[sector] : kNeither;
        if (detail < kHardlyAny) by_pace = std::min(by_pace, kNeither);
        round[static_cast<std::size_t>(row)] =
            static_cast<float>(std::lerp(by_pace, detail, kOfDetail));
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
        const bool held = sights[i].profile.has_value();
        WaterLook look{sights[i].time_s, held, held, sights[i].veiled, sights[i].light};
        if (sights[i].profile) look.marks = sights[i].profile->usual_step;
        look.vanishing = sights[i].vanishing;
        look.rings = sights[i].rings;
        if (track[i]) look.shores = shores_at(*profiles[i], *track[i]);
        // Without circles or shores nothing tells that this is still the pipe.
        look.pipe = look.pipe && (look.vanishing || look.shores);
        for (const PassedWall& flow : sights[i].flows) {
            look.flows.push_back(flow_look(flow, look.shores));
        }
        looks.push_back(std::move(look));
    }
    take_votes(sights, looks);
    return looks;
}

WaterEye::WaterEye(const cv::Mat1b& small, const cv::Mat1b& unseen, double time_s,
                   const std::optional<cv::Point2d>& before,
                   const std::optional<double>& pace_before)
    : size_(small.size()), pace_before_(pace_before) {
    sight_.time_s = time_s;
    const cv::Mat1b smooth = smooth_for_pipe_view(small);
    sight_.veiled = is_veiled(small, smooth);
    sight_.light = mean_light(small, unseen);
    if (const auto view = find_pipe_view(smooth, unseen)) found_ = view->vanishing;
    if (!found_ && (!before || sight_.veiled)) return;
    vanishing_ = found_ ? *found_ : *before;
    const double height = small.rows;
    if (found_) sight_.vanishing = *found_ / height;
    double dark = 0.0;
    cv::minMaxLoc(small, &dark);
    const auto by_ratio = radii_by_ratio(kInner * height, kOuter * height, kRatioColumns);
    sight_.profile = profile_of(unroll(small, polar_map(unseen, vanishing_, by_ratio)),
                                static_cast<float>(dark));
    by_depth_ = polar_map(unseen, vanishing_,
                          radii_by_depth(kInner * height, kOuter * height, kDepthColumns));
    detail_ = detail_of(unroll(small, by_depth_));
}

bool WaterEye::wants(double time_s) const {
    constexpr double kFaster = 2.0;    // than just now
    constexpr double kFirst_s = 0.15;  // by then the head may have set off, or sped up by more
    if (!sight_.profile || sight_.flows.size() >= kMostFlows) return false;
    const double since_s = time_s - sight_.time_s;
    const auto far_enough = [since_s](double pace) {
        return kFaster * pace * since_s >= kEnoughShift;
    };
    if (pace_) return far_enough(*pace_);
    return !pace_before_ || since_s >= kFirst_s || far_enough(*pace_before_);
}

void WaterEye::follow(const cv::Mat1b& small, double time_s) {
    if (!sight_.profile || small.size() != size_) return;
    const Unrolled later = detail_of(unroll(small, by_depth_));
    const WallFlow flow = wall_flow(detail_, later);
    if (flow.common != 0.0) pace_ = std::abs(flow.common) / (time_s - sight_.time_s);
    if (std::abs(flow.common) < kEnoughShift) return;
    const bool first = sight_.flows.empty();
    sight_.flows.push_back({passing_of(flow), time_s, flow.common * kColumn});
    std::array<bool, flow_sectors> all{};
    all.fill(true);
    if (const auto distance = distance_of_wall(sight_.flows.back().sectors, all)) {
        if (first) append(rings_in(detail_, *distance, small.rows, sight_.time_s), sight_.rings);
        append(rings_in(later, *distance, small.rows, time_s), sight_.rings);
    }
    sight_.profile->passes = passing_round(sight_.flows);
}

}  // namespace sondeline
