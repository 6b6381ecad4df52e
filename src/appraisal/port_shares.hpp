// What each port of the box took during the load test, by the water standing over it.
#pragma once

#include <vector>

#include "sondeline/appraisal.hpp"

#include "appraisal/load_times.hpp"

namespace sondeline {

// Every port with a level that may be used, in the order of the table. A share is given only where
// the data carry it: `times` allows it, water ran in from a hose of known flow, each port belongs
// to a run of known diameter, no open pipe of the same box was left unread, no port stood drowned,
// and what the levels would let through (grade/free_entrance) agrees with the hose; else
// `share_withheld` says which of these fails. Levels in words are in mm or, in a job in feet, in
// inches.
std::vector<PortShare> port_shares(const Job& job, const LoadTimes& times,
                                   const std::optional<Estimate>& hose_flow_l_s, LengthUnit unit);

}  // namespace sondeline
