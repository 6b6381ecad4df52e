// Headings that all lie turned by one angle from the pipes.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// A wrong north or declination turns every heading alike. Where of six fixes or more at least five
// in six lie within 15 degrees of one turn from the line through their neighbours, and that turn
// (the mean of the doubled angles, as headings are axial: Mardia and Jupp, Directional Statistics,
// 2000, section 1.1) is 10 degrees or more, no heading is used and one finding says so.
void leave_out_turned_headings(std::vector<SiteFix>& fixes, Findings& findings);

}  // namespace sondeline
