// From a number's grid to the cells that are read in every frame.
#pragma once

#include "footage/cell_grid.hpp"

namespace sondeline {

// Cells and shape of the grid. Counters that are not padded with zeros get one place more than was
// seen, when the crop has room for it: a reading that grows by a digit must not be read without it.
// `sign_cell`: a sign stands before the first place of a zero-padded number.
LineStructure structure_of(const NumberGrid& grid, const LocatedLine& line, bool sign_cell);

}  // namespace sondeline
