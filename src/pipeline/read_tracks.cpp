#include "pipeline/read_tracks.hpp"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <thread>

namespace sondeline {

namespace {

Track unread(const FootageFile& file, const std::string& reason) {
    Track track;
    track.clip.name = file.name;
    Where where;
    where.file = file.name;
    track.findings.push_back({Severity::problem, where, "The clip could not be read: " + reason,
                              "Copy the clip again from the recorder and process the folder again.",
                              Consequence::input_rejected});
    return track;
}

unsigned worker_count(unsigned asked, std::size_t clips) {
    const unsigned cores = std::max(1U, std::thread::hardware_concurrency());
    const unsigned wanted = asked == 0 ? cores : asked;
    return std::max(1U, std::min(wanted, static_cast<unsigned>(clips)));
}

}  // namespace

std::vector<Track> read_tracks(const Job& job, const TrackReader& read,
                               const ProcessOptions& options) {
    std::vector<Track> tracks(job.footage.size());
    std::atomic<std::size_t> next{0};
    std::mutex progress_lock;
    const auto report = [&](const std::string& name, double share) {
        if (options.stop.stop_requested()) throw Stopped();
        if (!options.progress) return;
        const std::lock_guard lock(progress_lock);
        options.progress(name, share);
    };
    const auto work = [&] {
        for (std::size_t i = next++; i < tracks.size(); i = next++) {
            const FootageFile& file = job.footage[i];
            try {
                tracks[i] = read(file.path, [&](double share) { report(file.name, share); });
                tracks[i].clip.name = file.name;
                report(file.name, 1.0);
            } catch (const Stopped&) {
                return;
            } catch (const std::exception& error) {
                tracks[i] = unread(file, error.what());
            }
        }
    };
    std::vector<std::jthread> workers;
    for (unsigned i = worker_count(options.threads, tracks.size()); i > 1; --i) {
        workers.emplace_back(work);
    }
    work();
    workers.clear();
    if (options.stop.stop_requested()) throw Stopped();
    return tracks;
}

std::vector<Track> with_typed_points(const Job& job, std::vector<Track> tracks) {
    for (const Run& run : job.runs) {
        if (!run.counter_decimals) continue;
        for (const std::string& name : run.footage) {
            const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
            if (file == job.footage.end()) continue;
            Track& track = tracks[static_cast<std::size_t>(file - job.footage.begin())];
            track = with_decimals(std::move(track), *run.counter_decimals);
        }
    }
    return tracks;
}

RunTracks join_tracks(const Job& job, const std::vector<Track>& tracks) {
    RunTracks joined;
    for (const Run& run : job.runs) {
        std::vector<Track> of_run;
        bool all = true;
        for (const std::string& name : run.footage) {
            const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
            all = all && file != job.footage.end();
            if (file == job.footage.end()) continue;
            of_run.push_back(tracks[static_cast<std::size_t>(file - job.footage.begin())]);
        }
        if (of_run.empty()) continue;
        JoinedTrack track = join_clips(of_run);
        // How long the missing clip was is not known.
        if (!all) track.clip_starts_s.assign(track.clips.size(), std::nullopt);
        joined.emplace(run.id, std::move(track));
    }
    return joined;
}

}  // namespace sondeline
