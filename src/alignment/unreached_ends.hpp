// Runs that end elsewhere than at the structure they are said to reach.
#pragma once

#include "alignment/network.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

// By how much the job explains its observations better (minus twice the logarithm of the evidence)
// when a run is not held to end at its structure.
double gain_without_end(const NetworkData& data, const Network& network, std::size_t run);

// Two positions or more, and a third of them, are outliers.
bool many_outliers(const RunData& run, const RunLine& line);

// Whether enough of a run's positions are believed to say where it goes.
bool understood(const RunData& run, const RunLine& line);

// A push that stopped short, a clip that is missing or a pipe that leads elsewhere drags the whole
// run, and the reel's scale, towards a structure where it does not end. A run that ends further
// from its structure than a pipe lies from one, or two of whose positions and a third of them are
// outliers, is tried without that hold. It goes where that gains 18, and two positions or more, and
// two thirds of them, are then believed. Most gain first, one after the other. A finding for each;
// the run is then marked `ends_elsewhere` and has no end structure.
//
// `network` is that of `data`; both are changed.
void leave_out_unreached_ends(const Site& site, NetworkData& data, Network& network);

}  // namespace sondeline::alignment
