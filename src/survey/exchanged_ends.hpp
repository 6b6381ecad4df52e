// Runs whose `from` and `to` were exchanged: told by where their fixes lie.
#pragma once

#include "survey/local_frame.hpp"
#include "survey/reel_reading.hpp"

namespace sondeline {

// No place of a pipe can lie further from its start than the counter says. Where both ends of a run
// are surveyed and three fixes or more with positions are placed on it, of which half or more lie
// too far from one of its ends and none does once the ends are exchanged, the fixes are left
// unplaced and one finding names the run. `reels` and `fixes` in the order of the job's.
// Gives those runs, by index: their taped inverts may be exchanged as well.
std::vector<int> leave_out_exchanged_ends(const Job& job, const std::vector<ReelReading>& reels,
                                          const std::vector<SiteStructure>& structures,
                                          std::vector<SiteFix>& fixes, Findings& findings);

}  // namespace sondeline
