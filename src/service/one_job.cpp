#include "service/one_job.hpp"

#include <algorithm>
#include <thread>

#include <fmt/format.h>

namespace sondeline {

namespace {

Outcome failed(const JobOrder& order, const std::string& why) {
    Outcome outcome;
    outcome.exit_code = 3;
    outcome.site = order.folder.filename().string();
    outcome.out = order.out.empty() ? order.folder / "asbuilt" : order.out;
    outcome.error = fmt::format("The job {} could not be worked on: {}. The other jobs went on.",
                                order.folder.generic_string(), why);
    return outcome;
}

}  // namespace

unsigned core_count(unsigned asked) {
    return asked > 0 ? asked : std::max(1U, std::thread::hardware_concurrency());
}

Track ReadingSlots::read(const TrackReader& reader, const std::filesystem::path& clip,
                         const ReadProgress& progress) {
    struct Slot {
        std::counting_semaphore<>& free;
        ~Slot() { free.release(); }
    };
    free_.acquire();
    const Slot slot{free_};
    return reader(clip, progress);
}

Outcome work_on(const JobOrder& order, const TrackReader& reader, const ProcessOptions& options) {
    try {
        return process_job(order.folder, reader, options);
    } catch (const Stopped&) {
        throw;
    } catch (const std::exception& error) {
        return failed(order, error.what());
    }
}

}  // namespace sondeline
