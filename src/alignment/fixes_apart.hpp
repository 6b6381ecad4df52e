// Fixes that all lie off the surveyed structures by one vector.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// Fixes in another datum or foot than the structures, or by a base on a point that was not known,
// lie beside every pipe by the same way. Run by run that looks like slipped counters, bends near
// the structures and structures that are off. Where three structures or more are surveyed and half
// of the runs' ends, gone on straight from their last two fixes, miss their structures alike, the
// job is adjusted with one offset of all fixes, 3 m (one standard deviation). Where that explains
// it better by 30 (minus twice the logarithm of the evidence, of which 27 pay for an offset told to
// 5 cm, thought of once in 200 jobs), the offset is taken off all fixes, the whole site is given it
// as a common error, and a finding says so. Jobs whose receivers have offsets of their own are left
// alone.
//
// `network` is that of `data`; both are changed.
void take_off_common_shift(const Site& site, NetworkData& data, Network& network);

}  // namespace sondeline::alignment
