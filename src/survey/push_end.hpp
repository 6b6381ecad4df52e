// Where a push ended.
#pragma once

#include "sondeline/intake.hpp"

namespace sondeline {

// Whether a push stopped before the far end of its run. What was pushed is then measured, and the
// pipe goes on: its far structure, and what was taped there, say nothing of where the push ended.
constexpr bool stopped_short(RunStatus status) {
    return status == RunStatus::broken || status == RunStatus::not_entered;
}

}  // namespace sondeline
