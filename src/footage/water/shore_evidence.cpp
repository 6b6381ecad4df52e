#include "footage/water/shore_evidence.hpp"

#include <algorithm>

namespace sondeline {
namespace {

constexpr float kTurn = 2.5F;  // directions, from one turn to the next
constexpr int kApart = 4;      // so far beside an edge its slope is taken

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

// `sign` −1 where the surface begins.
Round evidence(const WallSteps& steps, float usual, float sign) {
    Round evidence{};
    const auto at = [sign](const Round& round, int row) {
        return sign * round[static_cast<std::size_t>(wrapped(row))];
    };
    for (int row = 0; row < unrolled_directions; ++row) {
        const float step = at(steps.step, row);
        float size = 0.0F;
        if (step > 0.0F) {
            const float before = at(steps.step, row - 1);
            const float after = at(steps.step, row + 1);
            const float out = std::max(0.0F, without_slope(at(steps.step, row - kApart), step,
                                                           at(steps.step, row + kApart)));
            const float narrow = std::max({0.0F, at(steps.narrow, row - 1), at(steps.narrow, row),
                                           at(steps.narrow, row + 1)});
            const float straight =
                std::clamp((narrow / step - kBlurred) / (kSharp - kBlurred), 0.0F, 1.0F);
            size = straight * (step >= before && step >= after ? 1.0F : 0.8F) * out;
        }
        const auto i = static_cast<std::size_t>(row);
        evidence[i] = std::clamp(steps.steady[i] * size / usual - kUsual, kLeastEdge, kMostEdge);
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
