// A counter that is switched from feet to metres, or back, in the middle of a clip: the same place
// is then shown by another number, which looks as if the counter had been set anew.
#pragma once

#include <optional>

#include "sondeline/footage.hpp"

namespace sondeline {

// The first of the track's zeroings in which the counter goes on with the same length in the other
// unit, to one step of the last digit before and after; empty when there is none. Values below a
// hundred ticks are too coarse to tell.
std::optional<Zeroing> unit_change(const Track& track);

// Takes away what was read from the change on, with the reason, and says so: from there on it is
// not known which unit a number is in.
void withhold_after_unit_change(Track& track);

}  // namespace sondeline
