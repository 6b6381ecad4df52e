// The unit of lengths typed without one, where no table says it: the one the overlay shows.
#pragma once

#include "sondeline/pipeline.hpp"

#include "intake/from_footage.hpp"

namespace sondeline {

// The job read again with the unit that the counters of its footage show, when its tables leave the
// unit open, and when its table says another kind of unit, which then gets a finding. Counters that
// show both feet and metres settle nothing: the job stays as it was read; one whose unit is open is
// in metres, with a finding of severity problem. Where `day` has a date the job is read again with
// that as well.
Job with_overlay_unit(Job job, const RunTracks& tracks, const FromFootage& day = {});

}  // namespace sondeline
