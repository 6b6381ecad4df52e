// The points of the levels against the structures and fixes that they are meant for.
#pragma once

#include "sondeline/intake.hpp"

#include "intake/finding_log.hpp"

namespace sondeline {

// A point that differs from a structure, a fix or another point of the levels only in letter case
// is put right, which is told once. Points without elevation or backsight carry no height on; those
// of them that are neither a structure nor a fix serve nothing, which one finding tells with the
// names of structures and fixes without levels that look most alike.
void check_level_points(Job& job, FindingLog& log);

}  // namespace sondeline
