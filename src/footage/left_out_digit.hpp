// Whether a number has a further digit behind its last cell that a candidate leaves out.
#pragma once

#include <span>

#include "footage/structure_candidate.hpp"

namespace sondeline {

// Behind the last digit, within the room of a point and a digit, the network sees a digit in most
// crops, and not always the same one: a unit's letter may look like a digit but never changes.
bool leaves_out_a_digit(const Candidate& candidate, std::span<const LineCrop* const> crops,
                        const GlyphNet& net);

}  // namespace sondeline
