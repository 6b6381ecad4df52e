// The unit of lengths typed without one, where no table says it: the one the overlay shows.
#pragma once

#include "sondeline/pipeline.hpp"

namespace sondeline {

// The job read again in the unit that the counters of its footage show, when its tables leave the
// unit open. Counters that show both feet and metres settle nothing: the job stays as it was read,
// in metres, with a finding of severity problem.
Job with_overlay_unit(Job job, const RunTracks& tracks);

}  // namespace sondeline
