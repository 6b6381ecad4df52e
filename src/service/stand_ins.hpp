// A job as far as it is known before its footage is read.
#pragma once

#include "sondeline/service.hpp"

namespace sondeline {

// The reading of a clip of the job, if it was kept.
std::optional<Track> kept_track_of(const Job& job, const std::string& name,
                                   const TrackCache& cache);

// Readings that were kept, and for the other runs a stand-in that reaches to the end as noted, else
// as far as the counters of fixes and notes go.
struct KnownSoFar {
    Job job;  // of runs that stand in and have no note of their end: taken to end blind
    RunTracks tracks;
    std::vector<bool> read;           // by run: all its clips were in the cache
    std::vector<bool> end_noted;      // by run: it stands in, and a note says where it ends
    std::vector<bool> fix_must_wait;  // by fix: only the footage can say where it is
};

KnownSoFar known_so_far(const Job& job, const std::optional<TrackCache>& cache);

}  // namespace sondeline
