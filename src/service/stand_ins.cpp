#include "service/stand_ins.hpp"

#include <algorithm>

#include "intake/note_kinds.hpp"
#include "service/seen_files.hpp"

namespace sondeline {

namespace {

std::optional<JoinedTrack> read_before(const Job& job, const Run& run, const TrackCache& cache) {
    std::vector<Track> tracks;
    for (const std::string& name : run.footage) {
        auto track = kept_track_of(job, name, cache);
        if (!track) return std::nullopt;
        if (run.counter_decimals) track = with_decimals(std::move(*track), *run.counter_decimals);
        tracks.push_back(std::move(*track));
    }
    if (tracks.empty()) return std::nullopt;
    return join_clips(tracks);
}

struct Reach {
    std::optional<double> counter;
    bool is_the_end = false;
};

// The end as noted, unless more than one place was written down that lies beyond it; else as far as
// any place does.
Reach typed_reach(const Job& job, const Run& run) {
    std::vector<double> places;
    std::optional<double> end;
    const auto take = [&](const MaybeCell<double>& counter) {
        if (counter) places.push_back(counter->value);
    };
    for (const Fix& fix : job.fixes) {
        if (fix.run == run.id) take(fix.counter);
    }
    for (const Note& note : job.notes) {
        if (note.run != run.id) continue;
        take(note.counter);
        take(note.to_counter);
        if (is_end(note.category) && note.counter) {
            end = std::max(end.value_or(note.counter->value), note.counter->value);
        }
    }
    if (places.empty()) return {};
    const auto beyond = [&](double place) { return end && place > *end; };
    if (end && std::ranges::count_if(places, beyond) <= 1) return {end, true};
    return {*std::ranges::max_element(places), false};
}

PushSample sample_at(double time_s, double counter) {
    return {0, {time_s, counter, 1.0, CounterState::push, ""}, counter};
}

std::optional<JoinedTrack> stand_in(const Run& run, const Reach& reach) {
    const double start = run.counter_at_start ? run.counter_at_start->value : 0.0;
    if (!reach.counter || *reach.counter <= start) return std::nullopt;
    JoinedTrack track;
    track.clips = run.footage;
    track.samples = {sample_at(0.0, start), sample_at(1.0, *reach.counter)};
    track.first = PushedReach{0, 0.0, start, start};
    track.furthest = PushedReach{0, 1.0, *reach.counter, *reach.counter};
    return track;
}

}  // namespace

std::optional<Track> kept_track_of(const Job& job, const std::string& name,
                                   const TrackCache& cache) {
    const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
    if (file == job.footage.end()) return std::nullopt;
    const auto mark = mark_of(file->path);
    const auto sha256 = mark ? seen_sha256(cache, *mark) : std::nullopt;
    return sha256 ? kept_track(cache, *sha256) : std::nullopt;
}

KnownSoFar known_so_far(const Job& job, const std::optional<TrackCache>& cache) {
    const std::vector<bool> none(job.runs.size(), false);
    KnownSoFar known{job, {}, none, none, {}};
    for (std::size_t i = 0; i < job.runs.size(); ++i) {
        Run& run = known.job.runs[i];
        auto track = cache ? read_before(job, run, *cache) : std::nullopt;
        known.read[i] = track.has_value();
        if (!track) {
            const Reach reach = typed_reach(job, run);
            track = stand_in(run, reach);
            known.end_noted[i] = reach.is_the_end;
            if (!reach.is_the_end) {
                run.to.reset();
                run.end_invert_depth_m.reset();
            }
        }
        if (track) known.tracks.emplace(run.id, std::move(*track));
    }
    for (const Fix& fix : job.fixes) {
        const auto run = std::ranges::find(job.runs, fix.run, &Run::id);
        const bool read =
            run != job.runs.end() && known.read[static_cast<std::size_t>(run - job.runs.begin())];
        known.fix_must_wait.push_back(!read && !fix.counter);
    }
    return known;
}

}  // namespace sondeline
