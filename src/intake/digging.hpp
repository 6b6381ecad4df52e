// Keys of the job table that say what digging is priced by.
#pragma once

#include "intake/row_reader.hpp"

namespace sondeline {

// Depth bands, width and side slope of the trench, of the job's one row of keys. What nobody digs,
// read in the job's unit, is not used: a finding names the unit that it looks like.
void read_digging(const RowReader& row, JobSettings& settings);

}  // namespace sondeline
