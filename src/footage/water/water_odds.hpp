// How likely the looks of a run make it that they show a surface of water, and whether it is shaped
// like one that stands.
#pragma once

#include "footage/water/water_runs.hpp"

namespace sondeline {

// Standing water is level: over a sag it is deepest somewhere in the middle.
WaterShape shape_of(const WaterRun& run);

// Natural logarithm of the odds that the shores of the run are those of water, not of a stained or
// dirty wall. What the run is shaped like is not among it.
double standing_odds(const WaterRun& run);

// From which odds on a run of this shape may be claimed; none where its shape does not tell.
std::optional<double> odds_to_claim(WaterShape shape);

}  // namespace sondeline
