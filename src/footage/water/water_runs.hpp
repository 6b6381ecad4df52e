// Looks in one direction of travel joined into stretches of standing water.
#pragma once

#include <span>
#include <vector>

#include "footage/water/placed_looks.hpp"

namespace sondeline {

struct WaterEndSeen {
    double x_m = 0.0;
    double bound_m = 0.0;
    bool seen = false;  // dry wall was seen beyond it
};

enum class WaterShape {
    sag,    // deeper in the middle than towards both ends
    slope,  // much deeper in one part than in another
    even,   // as deep at its ends as in between: if it is water, it may run
};

struct WaterRun {
    WaterEndSeen from;
    WaterEndSeen to;
    std::vector<PlacedLook> looks;  // those that show its level, by rising place
    int under = 0;                  // looks from under its surface
    bool deepest_unseen = false;    // its deepest part was not seen
    WaterShape shape = WaterShape::even;
    double odds = 0.0;     // see standing_odds
    double deepest = 0.0;  // share
    double deepest_s = 0.0;
};

// `looks`: placed, of one direction, by rising place. Runs too short or too shallow to tell are
// left out.
std::vector<WaterRun> water_runs(std::span<const PlacedLook> looks);

}  // namespace sondeline
