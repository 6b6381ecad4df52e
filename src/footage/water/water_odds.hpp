// How likely the looks of a run make it that they show a surface of water, and whether it is shaped
// like one that stands.
#pragma once

#include "footage/water/water_runs.hpp"

namespace sondeline {

// Standing water is level: over a sag it is deepest somewhere in the middle.
WaterShape shape_of(const WaterRun& run);

// Natural logarithm of the odds that the shores of the run are those of standing water, not of a
// stained or dirty wall. `run.shape` must be set. Of an even shape it says whether it is water.
double standing_odds(const WaterRun& run);

// From these odds on a run is claimed, if its shape may be that of standing water.
inline constexpr double odds_to_claim = 1.5;

inline bool may_stand(WaterShape shape) {
    return shape != WaterShape::even;
}

}  // namespace sondeline
