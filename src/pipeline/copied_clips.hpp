// Clips that are copies of one another under different names.
#pragma once

#include "sondeline/pipeline.hpp"

namespace sondeline {

// A recording shows one pipe. Where clips of different runs are the same to the byte, nothing of
// the footage of these runs is used: their tracks go, their footage is emptied, and a finding for
// each says why. `tracks` in the order of Job::footage.
void leave_out_copied_clips(const std::vector<Track>& tracks, Job& job, RunTracks& joined);

}  // namespace sondeline
