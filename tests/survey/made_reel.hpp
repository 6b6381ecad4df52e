// The reel of a made track whose counter counts metres.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline::made {

inline ReelReading reel_of(const JoinedTrack& track) {
    ReelReading reel;
    reel.track = &track;
    reel.metres_per_count = 1.0;
    return reel;
}

// A track that was pushed from one counter to another in one go.
inline JoinedTrack pushed_between(double from, double to) {
    JoinedTrack track;
    track.clips = {"a.mp4"};
    track.clip_starts_s = {0.0};
    track.first = PushedReach{0, 0.0, from, from};
    track.furthest = PushedReach{0, 100.0, to, to};
    track.samples = {{0, {0.0, from, 1.0, CounterState::push, ""}, from},
                     {0, {100.0, to, 1.0, CounterState::push, ""}, to}};
    return track;
}

// Its reel with a counter in `unit` that stood at the start structure where the track begins.
inline ReelReading reel_in(LengthUnit unit, const JoinedTrack& track) {
    ReelReading reel = reel_of(track);
    reel.metres_per_count = metres_per(unit);
    reel.start = track.first->pushed;
    reel.length_m = figure((track.furthest->pushed - reel.start) * *reel.metres_per_count);
    return reel;
}

// Runs whose tracks were pushed from 0 to a counter in feet each, named A, B, C…, and their notes.
struct NotedRuns {
    Job job;
    std::vector<JoinedTrack> tracks;

    void run(double to) {
        Run made;
        made.id.text = std::string(1, static_cast<char>('A' + job.runs.size()));
        job.runs.push_back(made);
        tracks.push_back(pushed_between(0.0, to));
    }

    // Row 2 of notes.csv is the first one.
    Note& note(const char* run, NoteCategory category, double counter) {
        Note made;
        made.run.text = run;
        made.category = category;
        made.what = word(category);
        made.source = {"notes.csv", static_cast<int>(job.notes.size()) + 2, ""};
        made.counter = Cell<double>{counter, made.source};
        job.notes.push_back(made);
        return job.notes.back();
    }

    std::vector<ReelReading> reels() const {
        std::vector<ReelReading> all;
        for (const JoinedTrack& track : tracks) all.push_back(reel_in(LengthUnit::foot, track));
        return all;
    }
};

}  // namespace sondeline::made
