// What two ways of laying out the same number leave in doubt.
#pragma once

#include <span>
#include <string>

#include "footage/structure_candidate.hpp"

namespace sondeline {

// Displays set the point between two digits without room of its own, where the network does not
// know it; then the digits alone do not tell where it stands.
bool point_hardly_seen(const NumberGrid& grid);

// Whether what stands where the point should is less like a point than like anything else: reason
// to look for it between the digits.
bool point_looks_unlike(const NumberGrid& grid);

// Whether what stands there is a point beyond doubt.
bool point_well_seen(const NumberGrid& grid);

// Whether the layout keeps room for a point of its own, as all but displays do.
bool has_room_of_a_point(const NumberGrid& grid);

// The same with so much room that no display leaves it by chance, between two digits that lean or
// do not fill their cells.
bool point_stands_in_room(const NumberGrid& grid);

// Says so of every layout whose point is hardly seen, but of the first when its point was found
// between the digits. A layout that ranks behind is in doubt as well: one that seems to be in none
// would be taken instead of the first.
void doubt_points_hardly_seen(std::span<Candidate> candidates, bool found_in_first);

// The same digits, cut elsewhere.
bool only_point_differs(const NumberGrid& a, const NumberGrid& b);

// What `other` makes doubtful about `best`, in plain words.
std::string what_differs(const NumberGrid& best, const NumberGrid& other);

// Whether the one is the other without its first digit, though that counts on at the carries: what
// does so belongs to the number.
bool only_cuts_a_digit(const Candidate& shorter, const Candidate& longer);

}  // namespace sondeline
