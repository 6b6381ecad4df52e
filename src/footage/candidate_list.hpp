// The layouts of one line that were tried, as a list: its order, and what falls out of it.
#pragma once

#include <span>
#include <vector>

#include "footage/structure_candidate.hpp"

namespace sondeline {

// The highest rank first; equals keep their order.
void sort_by_rank(std::vector<Candidate>& candidates);

// Those of `more` that would give other values than every grid of the list.
void add_new(std::vector<NumberGrid>& grids, const std::vector<NumberGrid>& more);

// Sorts, and leaves those out that never change where one that ranks nearly as high does: a label
// before the number may be read as digits, and better than the number is.
void leave_out_still(std::vector<Candidate>& candidates);

// Of the first of each padding that has inches, every way in which these may stand aside.
std::vector<NumberGrid> inches_aside(const std::vector<Candidate>& candidates);

// Of those that read the same keeps the first: they need not be followed twice.
void keep_different(std::vector<Candidate>& candidates);

// Puts first the layout in which a point is seen, where the one ranked first reads the same digits
// as well with its point where none is seen: what a number does tells little about its point.
void put_seen_point_first(std::vector<Candidate>& candidates);

// The same with a point at the feet of two digits (seen_point.hpp) that the network does not hold
// for none: the cells of the layout ranked first may lie so that no point is seen between them.
// Returns whether one was put first. `crops` are those that the candidates were decoded on.
bool put_point_at_feet_first(std::vector<Candidate>& candidates,
                             std::span<const LineCrop* const> crops);

}  // namespace sondeline
