// Positions that make a mirror image of the site: told by the headings of the locator.
#pragma once

#include "survey/local_frame.hpp"

namespace sondeline {

// Longitudes whose minus sign is missing turn a site east for west, easting and northing exchanged
// turn it over its diagonal; either map looks whole. A heading is read off the receiver and not off
// the coordinates. Where of five fixes or more at least five in six headings lie along the line
// through the neighbours only in such a mirror, and no more than three in five as it stands, no
// position of the job is used and one finding says so. A site whose pipes all run along the mirror
// is the same in it, and cannot be judged. `fixes` placed.
void leave_out_mirrored_positions(std::vector<SiteStructure>& structures,
                                  std::vector<SiteFix>& fixes, std::vector<TieObservation>& ties,
                                  Findings& findings);

}  // namespace sondeline
