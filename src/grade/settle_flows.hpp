// Which way water runs where neither the kind of a run nor its structures tell.
#pragma once

#include <vector>

#include "grade/flow.hpp"
#include "grade/rows.hpp"

namespace sondeline::grade {

// Such a run is taken to run the way it falls: with the push; or against it, where it falls that
// way and another run bears it out, by taking the water away at its low end or by bringing it to
// its high end alone. A run between two structures that falls against its push and has nothing to
// bear it out may have been pushed uphill, or be a pipe that falls back: it is put in question, and
// told where it surely climbs. Runs without heights stay as they are. `rows` gain the findings.
void settle_flows(const Lines& lines, std::vector<RunRows>& rows, std::vector<Flow>& flows);

}  // namespace sondeline::grade
