// A Track held against the truth of an invented clip.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "sondeline/footage.hpp"

namespace sondeline::bench {

struct ShownAt {
    double time_s = 0.0;
    std::vector<double> shown;  // of either field; empty when nothing can be seen
};

// `<clip>.truth.csv` as make_footage writes it; empty when there is none.
std::vector<ShownAt> truth_of(const std::filesystem::path& clip);

struct ClipScore {
    long samples = 0;
    long readable = 0;  // samples in which the counter is shown
    long reported = 0;
    long readable_reported = 0;
    long wrong = 0;    // reported, and half a tick or more from what is shown
    long changes = 0;  // of the shown value, between two samples with both readings
    long late = 0;     // such changes that the readings place more than one sample off
    std::optional<double> reach_off_ticks;  // furthest reading minus the furthest shown
    bool warned = false;                    // a finding of severity caution or problem
    bool doubted = false;                   // one of severity problem

    // Most readings are wrong: decimal place, extra digit, wrong field.
    bool structurally_wrong() const { return reported > 20 && 2 * wrong > reported; }
};

ClipScore score(const Track& track, const std::vector<ShownAt>& truth);

void add(ClipScore& sum, const ClipScore& more);

// CPU seconds of this thread so far.
double thread_cpu_s();

// CPU seconds, user and system, of a program with its words, from start to end; 0 when it could not
// be started. What it prints goes where ours goes.
double process_cpu_s(const std::vector<std::string>& command);

// CPU seconds `ffmpeg -threads 1` takes to decode the clip and throw it away; 0 without ffmpeg.
double ffmpeg_decode_cpu_s(const std::filesystem::path& clip);

// 100 times part over whole, 0 for nothing.
double percent(long part, long whole);

}  // namespace sondeline::bench
