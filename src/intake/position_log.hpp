// The receiver's own log of the day: where it was at every moment.
#pragma once

#include "sondeline/intake.hpp"

#include "intake/finding_log.hpp"
#include "intake/grid.hpp"
#include "intake/table.hpp"

namespace sondeline {

// Whether a file of the folder is such a log: NMEA sentences (.nmea), or the tracks of a GPX file
// that is none of the tables.
bool is_position_log(const TableFile& file);

// Gives fixes that have a clock but no position the place where the receiver stood at that time:
// the mean of the positions within five seconds, weighted, with the accuracy that the receiver
// stated (not less for being averaged, as its errors last longer than that) and their own scatter.
// Where the receiver moved, or logged nothing, the fix stays without a position and a finding says
// so. Heights are not used: the height of the antenna above the ground is not known.
// Logs that were read are added to the job's inputs; findings speak `unit`.
void place_by_position_logs(const std::vector<TableFile>& files, LengthUnit unit, Job& job,
                            FindingLog& log);

}  // namespace sondeline
