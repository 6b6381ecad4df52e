#include "service/kept_clocks.hpp"

#include <algorithm>

#include "pipeline/footage_start.hpp"
#include "service/stand_ins.hpp"

namespace sondeline {

std::vector<ClipDay> known_days(const Job& job, const std::vector<HeaderCheck>& headers,
                                const std::optional<TrackCache>& cache) {
    std::vector<ClipDay> days;
    days.reserve(headers.size());
    for (std::size_t i = 0; i < headers.size(); ++i) {
        const std::string& name = job.footage[i].name;
        const auto track = cache ? kept_track_of(job, name, *cache) : std::nullopt;
        days.push_back(
            {name, track && track->clock ? track->clock->date : "", headers[i].creation_time_s});
    }
    return days;
}

Job with_kept_clocks(Job job, const std::optional<TrackCache>& cache) {
    const bool any_by_clock = std::ranges::any_of(
        job.fixes, [](const Fix& fix) { return fix.clock_s && !fix.counter && !fix.video_time_s; });
    if (!cache || !any_by_clock) return job;
    std::vector<Track> tracks(job.footage.size());
    std::vector<std::string> not_read;
    for (std::size_t i = 0; i < tracks.size(); ++i) {
        const std::string& name = job.footage[i].name;
        if (auto track = kept_track_of(job, name, *cache)) {
            tracks[i] = std::move(*track);
            tracks[i].clip.name = name;
        } else {
            not_read.push_back(name);
        }
    }
    Job read = job;
    read.findings.clear();
    std::erase_if(read.runs, [&](const Run& run) {
        return std::ranges::any_of(run.footage, [&](const std::string& name) {
            return std::ranges::find(not_read, name) != not_read.end();
        });
    });
    read = with_footage_start(std::move(read), tracks);
    for (const Run& run : read.runs) {
        std::ranges::find(job.runs, run.id, &Run::id)->footage_start_s = run.footage_start_s;
    }
    std::ranges::move(read.findings, std::back_inserter(job.findings));
    return job;
}

}  // namespace sondeline
