// The parts of the appraisal, one function each.
#pragma once

#include "sondeline/appraisal.hpp"

namespace sondeline {

// Every claim of the paper against what was measured.
std::vector<RecordCheck> check_records(const Job& job, const Site& site, const Lines& lines,
                                       const Profiles& profiles);

// Every run with a length, cut at grade breaks and where the depth band changes.
std::vector<Quantity> take_quantities(const Site& site, const Job& job, const Lines& lines,
                                      const Profiles& profiles);

// What the load test shows; empty when none was made.
std::optional<LoadTestBalance> balance_load_test(const Job& job, Findings& findings);

}  // namespace sondeline
