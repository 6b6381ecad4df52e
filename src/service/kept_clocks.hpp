// What the clocks in pictures that were read before say of the day and of fixes given by clock.
#pragma once

#include "sondeline/service.hpp"

#include "pipeline/footage_date.hpp"

namespace sondeline {

// Day and file of each clip, as far as its header and a kept reading of it say. `headers` as
// Job::footage.
std::vector<ClipDay> known_days(const Job& job, const std::vector<HeaderCheck>& headers,
                                const std::optional<TrackCache>& cache);

// As processing would, fills in when the footage of a run began, and says what it says of it: for
// runs whose clips were all read before. The others wait.
Job with_kept_clocks(Job job, const std::optional<TrackCache>& cache);

}  // namespace sondeline
