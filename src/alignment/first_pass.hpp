// Each run solved once, breadth first from structures with positions, so that all of them can then
// be solved together from near the answer.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// The joint problem with a first solution of every run. A run whose start is unknown begins at its
// first fix; what a run reaches serves the runs after it.
Network first_pass(const NetworkData& data);

}  // namespace sondeline::alignment
