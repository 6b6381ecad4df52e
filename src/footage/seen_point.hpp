// Where a display sets its point: at the feet of two neighbouring digits, without room of its own,
// so that no cell holds it and the network, which looks at cells, hardly knows it.
#pragma once

#include <optional>
#include <span>

#include "footage/structure_candidate.hpp"

namespace sondeline {

// Digits behind the only gap between two digits that holds ink at their feet and none half way up,
// in the crops that the candidate reads surely; empty when no gap stands out from the others, when
// fewer than three digits come before that gap, or when fewer than a dozen crops tell.
// `crops` are those that it was decoded on.
std::optional<int> digits_behind_point(const Candidate& candidate,
                                       std::span<const LineCrop* const> crops);

// The same, between digits that never change too, as the letters of a label do that are taken for
// digits: what stands there need not be a point, and yet speaks against a layout that has its point
// elsewhere.
std::optional<int> digits_behind_ink(const Candidate& candidate,
                                     std::span<const LineCrop* const> crops);

}  // namespace sondeline
