// The parts of the appraisal, one function each.
#pragma once

#include "sondeline/appraisal.hpp"

#include "appraisal/shared_lines.hpp"

namespace sondeline {

// Every claim of the paper against what was measured. A sum in which one pipe may count twice is
// withheld, with both figures.
std::vector<RecordCheck> check_records(const Job& job, const Site& site, const Lines& lines,
                                       const Profiles& profiles,
                                       const std::vector<SharedLine>& shared);

// Every run with a length, cut at grade breaks and where the depth band changes. Cuts lie on tenths
// of a millimetre, so that the rows of a file add up to the run as well.
std::vector<Quantity> take_quantities(const Site& site, const Job& job, const Lines& lines,
                                      const Profiles& profiles, const QuantityOptions& options);

// Stretches with a belly or a defect noted, half a metre longer at either end so that the cut falls
// into sound pipe (common practice, no source); those that meet become one.
std::vector<Replacement> stretches_to_replace(const Site& site, const Job& job, const Lines& lines,
                                              const Profiles& profiles);

// Whether a note speaks of something wrong with the pipe itself.
bool is_defect(NoteCategory category);

// Ground to invert at a station; empty where it is not known.
std::optional<Bounded> cover_at(const GradedRun& graded, double station_m);

// What the load test shows; empty when none was made.
std::optional<LoadTestBalance> balance_load_test(const Job& job, LengthUnit unit,
                                                 Findings& findings);

}  // namespace sondeline
