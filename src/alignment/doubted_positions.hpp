// Positions of structures that the runs which meet there contradict.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// A structure whose tapes or survey put it metres off makes every fix beside it look wrong. Where
// three fixes or more, and a quarter of those of the runs that meet at a surveyed structure, are
// outliers, or one of two runs or more ends further from it than a pipe lies from a structure, the
// job is adjusted without the position of each such structure in turn. The one whose absence
// explains most goes: it must lower the cost (minus twice the logarithm of the likelihood) by 30,
// by 15 more than that of any other structure does, or than leaving free one run's end there
// (or its start, where others meet as well) does, and leave half the outliers at most. Else whose
// fault it is cannot be told, and nothing changes. Repeated while at most a third of the positions
// have gone. A finding for each says where the runs put it and which tape that contradicts; the
// node then has no position of its own and is `doubted`.
//
// `network` is that of `data`; both are changed.
void leave_out_doubted_positions(const Site& site, NetworkData& data, Network& network);

}  // namespace sondeline::alignment
