// One job of several that are worked on side by side.
#pragma once

#include <semaphore>

#include "sondeline/service.hpp"

namespace sondeline {

// As many as asked for, or as there are cores when that is 0.
unsigned core_count(unsigned asked);

// So many clips at once, whichever job they belong to.
class ReadingSlots {
  public:
    explicit ReadingSlots(unsigned count) : free_(static_cast<std::ptrdiff_t>(count)) {}

    // Waits for a slot, then reads.
    Track read(const TrackReader& reader, const std::filesystem::path& clip,
               const ReadProgress& progress);

  private:
    std::counting_semaphore<> free_;
};

// The job's outcome, with exit code 3 when it failed for whatever reason. Only Stopped is thrown.
Outcome work_on(const JobOrder& order, const TrackReader& reader, const ProcessOptions& options);

}  // namespace sondeline
