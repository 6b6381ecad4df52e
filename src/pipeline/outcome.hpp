// What a processed job amounts to, for the terminal and for programs.
#pragma once

#include "sondeline/pipeline.hpp"

namespace sondeline {

// Everything of Outcome but `out` and `error`. The exit code is 0, or 2 when a finding says that
// some input was rejected or a run could not be measured.
Outcome summarise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles,
                  const Appraisal& appraisal, const Findings& findings);

}  // namespace sondeline
