// Depths typed under heading and headings under depth: told by where the pipe runs.
#pragma once

#include "survey/local_frame.hpp"

namespace sondeline {

// Holds the depth and the heading of every fix against the line through its neighbours on the run.
// Where of five fixes or more most depths, read as degrees, lie along the pipe, most headings do
// not, and the headings would be ordinary depths, the two columns were exchanged: all depths and
// headings are taken off the fixes, and one finding says so. `fixes` placed, in the order of
// `job.fixes`.
void leave_out_swapped_columns(const Job& job, const SiteFrame& frame, std::vector<SiteFix>& fixes,
                               Findings& findings);

}  // namespace sondeline
