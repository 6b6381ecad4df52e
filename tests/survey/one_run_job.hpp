// A job of one run from a box, and a track that pushes along it.
#pragma once

#include <string>

#include "sondeline/survey.hpp"

namespace sondeline::made {

// A track that pushes from `from` to `to` feet at one tick a sample, ten samples a second.
inline JoinedTrack pushed_track(double from, double to) {
    JoinedTrack track;
    track.clips = {"a.mp4"};
    track.clip_starts_s = {0.0};
    track.unit = CounterUnit::foot;
    track.tick = 0.1;
    double time_s = 0.0;
    for (double counter = from; counter <= to + 1e-9; counter += 0.1) {
        PushSample sample;
        sample.sample = {time_s, counter, 1.0, CounterState::push, ""};
        sample.pushed = counter;
        track.samples.push_back(sample);
        time_s += 0.1;
    }
    const PushSample& last = track.samples.back();
    track.first = PushedReach{0, 0.0, from, from};
    track.furthest = PushedReach{0, last.sample.time_s, *last.sample.counter, *last.pushed};
    return track;
}

inline Cell<double> cell(double value) {
    return {value, {"fixes.csv", 2, "x"}};
}

inline Job one_run_job() {
    Job job;
    job.settings.length_unit = LengthUnit::foot;
    Structure box;
    box.id.text = "box";
    box.position = TypedPosition{false, 100.0, 200.0, {}};
    job.structures.push_back(box);
    Run run;
    run.id.text = "L1";
    run.from = StructureId{"box"};
    run.diameter_m = cell(0.1);
    job.runs.push_back(run);
    return job;
}

inline Fix fix_at(double counter, double x, double y) {
    Fix fix;
    fix.id = "F1";
    fix.run.text = "L1";
    fix.counter = cell(counter);
    fix.position = TypedPosition{false, x, y, {}};
    return fix;
}

// What the first finding says that holds these words; empty when none does.
inline std::string told_of(const Site& site, const std::string& words) {
    for (const Finding& finding : site.findings) {
        if (finding.what.find(words) != std::string::npos) return finding.what;
    }
    return "";
}

}  // namespace sondeline::made
