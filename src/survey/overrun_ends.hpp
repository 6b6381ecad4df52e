// Runs whose counter goes on too far for the structure at their end.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// A head that went on past its structure, and footage of another run, give a length that is not the
// pipe's. Where the counter has gone on from a run's last fix for more than twice the way from
// there to its end structure and 2.5 m, which no pipe without a loop does, and the fix before it
// shows at least half as much, the length is withheld, a finding says so, and the tape at that end
// is not used, as nothing tells where on the counter it lies. Fixes without a position do not
// count.
void withhold_overrun_lengths(LengthUnit unit, const std::vector<SiteStructure>& structures,
                              const std::vector<SiteFix>& fixes, std::vector<SiteRun>& runs,
                              Findings& findings);

}  // namespace sondeline
