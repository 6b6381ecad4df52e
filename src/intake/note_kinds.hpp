// What kinds of notes have in common.
#pragma once

#include "sondeline/intake.hpp"

namespace sondeline {

// Whether a note says that its run ends there: an end or a cap.
bool is_end(NoteCategory category);

}  // namespace sondeline
