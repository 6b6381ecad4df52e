// One recording copied under two names, before any footage is read.
#pragma once

#include "sondeline/intake.hpp"

namespace sondeline {

// One finding for each run of which a clip is the same recording as a clip, of another name, of
// another run. Files of equal size are compared at places spread over them, 4 MiB of each at most:
// no two recordings agree at all of these.
Findings same_clips(const Job& job);

}  // namespace sondeline
