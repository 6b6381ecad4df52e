// From a number's grid to the cells that are read in every frame.
#pragma once

#include "footage/cell_grid.hpp"

namespace sondeline {

// Whether the number can be laid out in the cells that a line may have.
bool fits_cells(const NumberGrid& grid, bool sign_cell = false);

// Cells and shape of the grid, which must fit (std::length_error otherwise). Counters that are not
// padded with zeros get one place more than was seen, when the crop has room for it: a reading that
// grows by a digit must not be read without it. `sign_cell`: a sign stands before the first place
// of a zero-padded number.
LineStructure structure_of(const NumberGrid& grid, const LocatedLine& line, bool sign_cell);

}  // namespace sondeline
