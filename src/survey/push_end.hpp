// Where a push ended: at the far end of its run, or short of it.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline {

// Whether a run's status says that its push stopped before the far end. What was pushed is then
// measured, and the pipe goes on: its far structure, and what was taped there, say nothing of where
// the push ended.
constexpr bool stopped_short(RunStatus status) {
    return status == RunStatus::broken || status == RunStatus::not_entered;
}

// Whether the footage of a run ends before its pipe does, as a note of its end tells, or two fixes
// and notes of it that lie over half a metre beyond the furthest reading. One alone may be a slip
// of the pen. With a finding, in `unit`.
bool footage_ends_short(const Job& job, const Run& run, const ReelReading& reel, LengthUnit unit,
                        Findings& findings);

// Whether anything tells that a run ends where its footage does: a structure there, a cap, or a
// note of the end that fits. That the head was drawn back does not: every push is, also one that
// roots stopped.
bool end_is_told(const Job& job, const Run& run, const ReelReading& reel);

}  // namespace sondeline
