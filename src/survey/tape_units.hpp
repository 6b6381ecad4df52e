// Inverts taped in another unit than they were read in: told by the depths along the pipes.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// A tape that puts the invert deeper than sewers lie (3.5 m), while the depths located along its
// run, or those of the job where it has fewer than two, lie as sewers do, and that would agree with
// them within a factor of 1.5 in just one other unit that people tape in: inches, centimetres or
// millimetres. Such tapes are not used; one finding for each run, or two where its tapes differ in
// that unit, names their cells and it.
// `runs` in the order of Job::runs.
void leave_out_tapes_in_another_unit(const Job& job, LengthUnit unit,
                                     const std::vector<SiteFix>& fixes, std::vector<SiteRun>& runs,
                                     Findings& findings);

}  // namespace sondeline
