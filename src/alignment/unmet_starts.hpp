// Runs that start elsewhere than at the structure they are said to leave.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// The job when nothing holds the start of a run.
NetworkData with_free_start(const NetworkData& data, std::size_t run);

enum class UnmetStarts {
    at_another_structure,  // only those whose fixes put their start at another structure of the job
    all
};

// A wrong name under `from`, or a counter that did not show at the structure what the table says,
// drags a run to a structure where it does not start, and a tape and a height that are not its own
// would decide its grade. A run that starts further from its structure than a pipe lies from one,
// or two of whose positions and a third of them are outliers, is tried with a start that nothing
// holds. It goes where that gains 18 (minus twice the logarithm of the evidence), more than leaving
// its end free does, and two positions or more, and two thirds of them, are then believed. Most
// gain first, one after the other. A finding for each names the structure that fits as its start,
// where just one does nearly as well as a free start; the run is then marked `starts_elsewhere`,
// with how far that leaves its length in doubt.
//
// `network` is that of `data`; both are changed.
void leave_out_unmet_starts(const Site& site, UnmetStarts which, NetworkData& data,
                            Network& network);

}  // namespace sondeline::alignment
