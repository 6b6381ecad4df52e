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

// "182.3 ft (181.9 to 182.7 ft)", rounded to what the bounds deserve.
std::string length_words(const Bounded& length_m, LengthUnit unit);

// A length without bounds, to the decimals asked.
std::string length_words(double length_m, LengthUnit unit, int decimals);

}  // namespace sondeline
