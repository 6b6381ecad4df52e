// Heights of the ground that look written in another unit than the job's.
#pragma once

#include "grade/flow.hpp"
#include "grade/rows.hpp"

namespace sondeline::grade {

// Rod readings or ground elevations in metres in a job in feet make the ground 3.28 times too
// even, and feet in a job in metres as much too steep, while depths and tapes are right: the pipes
// then seem to follow the ground the wrong way about. Taken either way, each run is weighed by how
// such pipes are laid (lines that drain fall 1.8 %, sd 1.2 %; level ones .3 %, sd .4 %; three of a
// hundred lie anyhow; common practice, no source) and by how evenly it then lies. Where the other
// unit is likelier, though only one job in two hundred is written so (common practice, no source),
// a finding says so, and gives why no run has a profile. Asks two runs whose water has a known way.
std::optional<Withheld> doubt_ground_unit(const Lines& lines, const std::vector<Flow>& flows,
                                          std::vector<RunRows>& runs);

}  // namespace sondeline::grade
