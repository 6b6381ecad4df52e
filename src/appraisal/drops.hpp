// How far water drops inside a structure, and which of the pipes that leave it lies lowest.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline {

// One row for each pair of a pipe that brings water and one that takes it away, and for the lowest
// pipe that leaves against each other one, structure by structure. Where both inverts were taped in
// the open structure, from one rim, the difference is that of the tapes and the ground's error is
// not in it; else it is that of the two profiles. Pairs without both inverts have no row. A pipe
// that leaves higher than another comes in, a box whose ports are surely not level, and outlets
// taped about a bore apart, of which the higher may be the top of its pipe, are findings.
std::vector<StructureDrop> drops_at_structures(const Lines& lines, const Profiles& profiles,
                                               LengthUnit unit, Findings& findings);

}  // namespace sondeline
