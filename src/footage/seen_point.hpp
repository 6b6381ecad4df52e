// Where a display sets its point: at the feet of two neighbouring digits, without room of its own,
// so that no cell holds it and the network, which looks at cells, hardly knows it.
#pragma once

#include <optional>
#include <span>

#include "footage/structure_candidate.hpp"

namespace sondeline {

// Digits behind the only gap between two digits that holds ink at their feet and none half way up,
// in the crops that the candidate reads surely; empty when no gap stands out from the others, or
// when fewer than a dozen crops tell. `crops` are those that it was decoded on.
std::optional<int> digits_behind_point(const Candidate& candidate,
                                       std::span<const LineCrop* const> crops);

}  // namespace sondeline
