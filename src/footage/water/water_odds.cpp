#include "footage/water/water_odds.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "terms/quantile.hpp"

namespace sondeline {
namespace {

constexpr double kShallow = 0.045;  // share: below it edges say little
constexpr double kLeastDeepest = 0.08;
constexpr double kLeastSag = 0.02;     // share, middle third over the outermost sixths
constexpr double kLeastSlope = 0.055;  // share
constexpr double kLeastTaper = 0.40;   // of the deepest

// Logistic regression over the runs of the tuning clips that are shaped like standing water,
// penalised by 0.3 times the sum of squares (docs/standing-water.md). Each figure is scaled to
// about −1 … 1 first.
constexpr double kBias = 0.94;
constexpr double kSlope = -1.75;  // a slope is what roots and dirt make as well
constexpr double kFarOff = 1.72;
constexpr double kPassing = 3.37;
constexpr double kStandsOut = 1.10;
constexpr int kManyDirections = 60;
constexpr double kIsWall = -0.35;   // see passing()
constexpr double kWentUnder = 2.0;  // set by hand: too few clips show it to be fitted
constexpr int kFewestUnder = 2;

std::vector<PlacedLook> deep_looks(const WaterRun& run) {
    std::vector<PlacedLook> deep;
    for (const PlacedLook& look : run.looks) {
        if (look.share >= std::max(kShallow, 0.5 * run.deepest)) deep.push_back(look);
    }
    return deep;
}

// Water shows more of the wall above it the flatter it is looked at; a stain is as dark everywhere.
// The more so, the plainer the shores.
double far_off(const std::vector<PlacedLook>& deep) {
    constexpr double kNeither = 0.80;  // see Shores::far_over_near
    constexpr double kScale = 0.08;
    std::vector<double> far;
    std::vector<double> edges;
    for (const PlacedLook& one : deep) {
        if (one.look.shores->far_over_near) far.push_back(*one.look.shores->far_over_near);
        edges.push_back(one.look.shores->edge);
    }
    if (far.empty()) return 0.0;
    const double plain = std::clamp(quantile(edges, 0.5) / 0.4, 0.3, 1.5);
    const auto looks = static_cast<double>(far.size());
    return plain * std::clamp((kNeither - quantile(far, 0.5)) / kScale, -4.0, 1.5) * looks /
           (looks + 2.0);
}

PassingVote vote_of(const std::vector<PlacedLook>& deep) {
    PassingVote vote;
    for (const PlacedLook& one : deep) {
        for (const FlowLook& flow : one.look.flows) vote += flow.vote;
    }
    return vote;
}

double passing(const PassingVote& vote) {
    constexpr double kFew = 15.0;  // directions: so many count half
    const double surface = std::min(vote.for_surface[0], vote.for_surface[1]);
    return std::clamp(2.0 * surface / (kFew + vote.directions), -2.0, 0.7);
}

double stands_out(const std::vector<PlacedLook>& deep) {
    std::vector<double> weights;
    weights.reserve(deep.size());
    for (const PlacedLook& one : deep) weights.push_back(one.look.shores->weight);
    return std::clamp((quantile(weights, 0.5) - 2.2) / 1.2, -1.5, 1.0);
}

}  // namespace

WaterShape shape_of(const WaterRun& run) {
    if (run.under >= kFewestUnder) return WaterShape::sag;
    if (run.deepest < kLeastDeepest) return WaterShape::even;
    const double from_m = run.looks.front().x_m;
    const double long_m = std::max(1e-6, run.looks.back().x_m - from_m);
    double least = run.deepest;
    double middle = 0.0;
    double ends = 0.0;
    int middles = 0;
    int at_ends = 0;
    for (const PlacedLook& look : run.looks) {
        least = std::min(least, look.share);
        const double off_middle = std::abs((look.x_m - from_m) / long_m - 0.5);
        if (off_middle < 1.0 / 6.0) {
            middle += look.share;
            ++middles;
        } else if (off_middle > 1.0 / 3.0) {
            ends += look.share;
            ++at_ends;
        }
    }
    if (middles > 0 && at_ends > 0 && middle / middles - ends / at_ends >= kLeastSag) {
        return WaterShape::sag;
    }
    const bool slopes = run.deepest - least >= std::max(kLeastSlope, kLeastTaper * run.deepest);
    return slopes ? WaterShape::slope : WaterShape::even;
}

double standing_odds(const WaterRun& run) {
    const double shaped = kBias + (run.shape == WaterShape::slope ? kSlope : 0.0) +
                          (run.under >= kFewestUnder ? kWentUnder : 0.0);
    const auto deep = deep_looks(run);
    if (deep.empty()) return shaped;
    const PassingVote vote = vote_of(deep);
    const double odds =
        shaped + kFarOff * far_off(deep) + kPassing * passing(vote) + kStandsOut * stands_out(deep);
    // What passes as the wall does in direction after direction is wall, whatever else it is like.
    const bool wall = vote.directions >= kManyDirections && passing(vote) <= kIsWall;
    return wall ? std::min(odds, 0.0) : odds;
}

}  // namespace sondeline
