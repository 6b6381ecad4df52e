// Reading the clips of a job side by side.
#pragma once

#include "sondeline/pipeline.hpp"

namespace sondeline {

// One Track per file of `job.footage`, in that order, whatever the number of threads. A reader that
// throws gives a Track with a finding instead: one bad clip never stops the others. Throws Stopped
// when that is asked for.
std::vector<Track> read_tracks(const Job& job, const TrackReader& read,
                               const ProcessOptions& options);

// The tracks, in the same order, with their points where `counter_decimals` of their runs says.
std::vector<Track> with_typed_points(const Job& job, std::vector<Track> tracks);

// The tracks of every run's clips, joined in push order. Runs without footage have no entry.
RunTracks join_tracks(const Job& job, const std::vector<Track>& tracks);

}  // namespace sondeline
