// What the tables say of each other: ids that are named must be there.
#pragma once

#include "sondeline/intake.hpp"

#include "intake/finding_log.hpp"

namespace sondeline {

// Reports ids that no table lists. An id that differs from a listed one only in letter case is
// corrected; a structure named by a run alone is added without a position; a row without a run in a
// job of one run belongs to that run.
void check_references(Job& job, FindingLog& log);

// Reports runs whose depths look like those of another unit.
void check_depths(const Job& job, FindingLog& log);

}  // namespace sondeline
