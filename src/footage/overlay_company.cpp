#include "footage/overlay_company.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "footage/inclination.hpp"
#include "footage/track_findings.hpp"

namespace sondeline {

namespace {

void keep_clock(const SpanReading& reading, Track& track) {
    std::string date;
    std::string why_not;
    int clocks = 0;
    for (const WatchedLine& line : reading.lines) {
        if (date.empty()) date = line.clock.date;
        if (!line.clock.why_not.empty()) why_not = line.clock.why_not;
        if (!line.clock.clock) continue;
        // Two clocks that agree are one clock shown twice.
        const bool agrees =
            track.clock && std::abs(track.clock->start_s - line.clock.clock->start_s) <= 2.0;
        if (!agrees) ++clocks;
        if (!track.clock) track.clock = line.clock.clock;
    }
    if (clocks > 1) {
        track.clock.reset();
        why_not = "two clocks in the picture show different times";
    }
    if (track.clock) {
        track.clock->date = date;
    } else if (!why_not.empty()) {
        track.findings.push_back(
            clip_finding(track, Severity::info,
                         fmt::format("The clock in the picture was not used: {}.", why_not),
                         "Fill in footage_start of the run if fixes are given by clock."));
    }
}

double value_of(const LineSample& sample, const CounterFormat& format) {
    return static_cast<double>(sample.ticks) / std::pow(10.0, format.decimals);
}

// Samples in which both the counter and the other number were read. The reading has one sample for
// each sampled time; the track has those of damaged frames besides.
std::vector<PairedValue> paired(const SpanReading& reading, const LineReading& other,
                                const Track& track) {
    std::vector<PairedValue> values;
    std::size_t at = 0;
    for (std::size_t i = 0; i < reading.times_s.size() && i < other.samples.size(); ++i) {
        while (at < track.samples.size() && track.samples[at].time_s < reading.times_s[i] - 1e-6) {
            ++at;
        }
        if (at == track.samples.size()) break;
        const CounterSample& counter = track.samples[at];
        if (std::abs(counter.time_s - reading.times_s[i]) > 1e-6 || !counter.counter) continue;
        if (other.samples[i].unread != Unread::no) continue;
        values.push_back(
            {counter.time_s, *counter.counter, value_of(other.samples[i], other.format)});
    }
    return values;
}

void keep_grade(const SpanReading& reading, const CounterChoice& counter, Track& track) {
    if (counter.reading == nullptr || !track.format) return;
    for (const WatchedLine& line : reading.lines) {
        if (&line == counter.line || line.readings.empty()) continue;
        const LineReading& other = line.readings.front();
        const bool measures_length = other.format.unit != CounterUnit::unknown;
        if (measures_length || other.format.decimals == 0 || !other.doubt.empty()) continue;
        const InclinationUnit unit =
            line.marks.empty() ? InclinationUnit::unknown : line.marks.front();
        const std::vector<PairedValue> values = paired(reading, other, track);
        if (!is_inclination(values, other.format.tick(), track.format->tick(),
                            unit != InclinationUnit::unknown)) {
            continue;
        }
        GradeLog grade;
        grade.box = other.format.box;
        grade.unit = unit;
        grade.tick = other.format.tick();
        for (const PairedValue& value : values) {
            grade.points.push_back({value.time_s, value.counter, value.value});
        }
        track.grade = std::move(grade);
        track.findings.push_back(clip_finding(
            track, Severity::info,
            fmt::format("The picture shows an inclination figure (unit {}), read at {} moments; it "
                        "is kept as a log and was not used for any slope.",
                        word(unit), track.grade->points.size()),
            "Compare the log with the levels: a camera's level shows the slope of the head, and "
            "may be off."));
        return;
    }
}

}  // namespace

void keep_company(const SpanReading& reading, const CounterChoice& counter, Track& track) {
    keep_clock(reading, track);
    keep_grade(reading, counter, track);
}

}  // namespace sondeline
