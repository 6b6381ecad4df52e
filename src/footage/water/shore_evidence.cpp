#include "footage/water/shore_evidence.hpp"

#include <algorithm>

namespace sondeline {
namespace {

constexpr float kTurn = 2.5F;      // directions, from one turn to the next
constexpr std::size_t kApart = 4;  // so far beside an edge its slope is taken

constexpr float kMostEdge = 3.0F;
constexpr float kLeastEdge = -1.5F;
constexpr float kUsual = 1.2F;  // usual steps of the wall that speak neither for nor against
// Share of a step within one direction: of the wall's own marks, and of a shore.
constexpr float kBlurred = 0.45F;
constexpr float kSharp = 0.8F;
constexpr float kLeastUsual = 0.03F;
constexpr float kMostUsual = 0.12F;

// A step stands out of the slope of light about it; the edge of a glow does not.
float without_slope(float before, float here, float after) {
    const float step = here - 0.5F * (before + after);
    return step * here > 0.0F ? step : 0.0F;
}

// With what lies beyond either end, so that no row has to be wrapped.
using Wide = std::array<float, unrolled_directions + 2 * kApart>;

Wide widened(const Round& round, float sign) {
    Wide wide{};
    for (int i = 0; i < static_cast<int>(wide.size()); ++i) {
        wide[static_cast<std::size_t>(i)] =
            sign * round[static_cast<std::size_t>(wrapped(i - static_cast<int>(kApart)))];
    }
    return wide;
}

// `sign` −1 where the surface begins.
Round evidence(const WallSteps& steps, float usual, float sign) {
    Round evidence{};
    evidence.fill(std::clamp(-kUsual, kLeastEdge, kMostEdge));
    const Wide step = widened(steps.step, sign);
    const Wide narrow = widened(steps.narrow, sign);
    for (std::size_t row = 0; row < unrolled_directions; ++row) {
        const std::size_t at = row + kApart;
        if (step[at] <= 0.0F) continue;
        const float out =
            std::max(0.0F, without_slope(step[at - kApart], step[at], step[at + kApart]));
        const float sharp = std::max({0.0F, narrow[at - 1], narrow[at], narrow[at + 1]}) / step[at];
        const float straight = std::clamp((sharp - kBlurred) / (kSharp - kBlurred), 0.0F, 1.0F);
        const bool peak = step[at] >= step[at - 1] && step[at] >= step[at + 1];
        const float size = straight * steps.steady[row] * (peak ? 1.0F : 0.8F) * out;
        evidence[row] = std::clamp(size / usual - kUsual, kLeastEdge, kMostEdge);
    }
    return evidence;
}

}  // namespace

float turn_of(int index) {
    return kTurn * static_cast<float>(index - no_turn);
}

ShoreEvidence shore_evidence(const WallSteps& steps, float usual_step) {
    const float usual = std::clamp(usual_step, kLeastUsual, kMostUsual);
    return {evidence(steps, usual, -1.0F), evidence(steps, usual, 1.0F)};
}

}  // namespace sondeline
