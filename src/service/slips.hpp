// Slips of the pen that the tables and headers alone give away.
#pragma once

#include "sondeline/service.hpp"

namespace sondeline {

// Clips that do not open or are cut off.
Findings clip_slips(const Job& job, const std::vector<HeaderCheck>& headers);

// Fixes that say nothing of where along the run they are, or give a time beyond the footage.
Findings fix_slips(const Job& job, const std::vector<HeaderCheck>& headers);

// Single depths that no pipe of the run has: deeper than a transmitter is heard, or about 12, 3.3,
// 0.3 or 1/12 times those of the fixes next to it, as when feet are taken for inches.
Findings depth_slips(const Job& job);

// Positions whose distances are about 3.28 or 0.305 times what the counter says: feet taken for
// metres, or the other way about. `site` must have its fixes placed.
Findings counter_slips(const Site& site);

}  // namespace sondeline
