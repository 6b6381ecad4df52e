// How much each direction speaks for a shore of water.
#pragma once

#include <array>

#include "footage/water/wall_steps.hpp"

namespace sondeline {

// A shore points at the vanishing point only where the water is as deep ahead as here. Where it
// gets deeper both shores turn outwards on the way to it, where it gets shallower inwards. So each
// direction is asked along lines that turn by so many steps either way.
inline constexpr int shore_turns = 7;
inline constexpr int no_turn = shore_turns / 2;

// Step by which the first of the turns goes clockwise on the way to the vanishing point, see
// NearWall::steps; negative for the first ones.
float turn_of(int index);

// In units of the log of likelihood, roughly: a plain shore adds about 3, a wall takes 1.2.
struct ShoreEvidence {
    Round begins{};  // for a shore where the surface begins, clockwise: it gets darker
    Round ends{};    // for one where it ends
};

// `usual_step`: see WallProfile.
ShoreEvidence shore_evidence(const WallSteps& steps, float usual_step);

}  // namespace sondeline
