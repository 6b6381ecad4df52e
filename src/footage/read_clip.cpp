#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "sondeline/footage.hpp"

#include "footage/counter_choice.hpp"
#include "footage/holds.hpp"
#include "footage/overlay_company.hpp"
#include "footage/passing/passing_log.hpp"
#include "footage/reel_and_picture.hpp"
#include "footage/track_findings.hpp"
#include "footage/unit_change.hpp"
#include "footage/water/water_log.hpp"

namespace sondeline {
namespace {

// A stretch without readings so long that the overlay may stand elsewhere meanwhile.
constexpr double kLongUnread_s = 8.0;
constexpr int kMostSecondLooks = 2;

void describe(const FrameReport& report, Track& track) {
    ClipDescription& clip = track.clip;
    clip.frames = report.frames;
    clip.duration_s = report.last_time_s;
    if (report.frames > 1 && report.last_time_s > 0.0) {
        clip.frame_rate = static_cast<double>(report.frames - 1) / report.last_time_s;
    }
    clip.interlaced = clip.interlaced || report.interlaced;
    clip.damaged = report.read_error || report.missing_s > 0.0 || report.damaged_frames > 0 ||
                   report.rejected_packets > 0;
    tell_of_frames(report, track);
}

void refuse(std::string what, std::string what_to_do, Track& track) {
    track.clip.damaged = true;
    Finding finding =
        clip_finding(track, Severity::problem, std::move(what), std::move(what_to_do));
    finding.consequence = Consequence::input_rejected;
    track.findings.push_back(std::move(finding));
}

void tell_of_choice(const CounterChoice& counter, const SpanReading& reading, Track& track) {
    if (counter.reading == nullptr) {
        const CounterChoice near = near_counter(reading.lines);
        if (near.reading != nullptr) {
            const PixelBox& box = near.reading->format.box;
            track.findings.push_back(clip_finding(
                track, Severity::caution,
                fmt::format(
                    "A number at {}, {} (it reads {}) may be the counter or another figure: "
                    "it changes too little to tell, and shows no unit. It was not used.",
                    box.x, box.y, near.reading->format.pattern),
                "If it is the counter, give the run's length by tape."));
        }
        track.findings.push_back(clip_finding(
            track, Severity::caution,
            reading.lines.empty()
                ? "No counter was found: no text stands fixed in the picture."
                : "No counter was found: none of the text in the picture counts as a reel does.",
            "Look at the clip. If it shows a counter, give the run's length by tape and keep the "
            "clip as an example of what could not be read."));
        return;
    }
    const std::string& pattern = counter.reading->format.pattern;
    if (counter.line->upside_down) {
        track.findings.push_back(clip_finding(
            track, Severity::info, "The picture stands on its head; the counter was read turned.",
            "Nothing."));
    }
    if (!counter.doubt.empty()) {
        const CounterFormat& format = counter.reading->format;
        track.findings.push_back(clip_finding(
            track, Severity::problem,
            fmt::format("{}: {}.", opening_of_doubt(format), counter.doubt),
            format.point_in_doubt
                ? "Compare a few readings with the picture, and write in counter_decimals of the "
                  "run how many digits stand behind the point."
                : "Compare a few readings with the picture before using this clip."));
    }
    tell_of_unclear_digits(*counter.reading, track);
    for (const OverlayField& field : track.other_fields) {
        if (field.kind != FieldKind::second_counter) continue;
        track.findings.push_back(clip_finding(
            track, Severity::caution,
            fmt::format("A second number in the picture, at {}, {}, also behaves like a counter; "
                        "the one that reads {} was taken.",
                        field.box.x, field.box.y, pattern),
            "Check that this is the reel's counter."));
    }
}

// The longest stretches without a reading, earliest first.
std::vector<TimeSpan> long_unread(const std::vector<CounterSample>& samples) {
    std::vector<TimeSpan> spans;
    bool inside = false;
    for (const CounterSample& sample : samples) {
        if (sample.counter) {
            inside = false;
            continue;
        }
        if (!inside) spans.push_back({sample.time_s, sample.time_s});
        inside = true;
        spans.back().to_s = sample.time_s;
    }
    std::erase_if(spans, [](const TimeSpan& s) { return s.to_s - s.from_s < kLongUnread_s; });
    std::stable_sort(spans.begin(), spans.end(), [](const TimeSpan& a, const TimeSpan& b) {
        return a.to_s - a.from_s > b.to_s - b.from_s;
    });
    if (spans.size() > kMostSecondLooks) spans.resize(kMostSecondLooks);
    return spans;
}

// Where the counter was not seen for long, the overlay may have been moved or redrawn: that part of
// the clip is read as if it were a clip of its own.
void look_again(const std::filesystem::path& clip, const ReadOptions& options, Track& track) {
    for (const TimeSpan& span : long_unread(track.samples)) {
        ReadOptions counter_only = options;
        counter_only.water = false;
        const SpanReading reading = read_span(clip, span, counter_only, {});
        const CounterChoice counter = likeliest_counter(reading.lines);
        if (counter.reading == nullptr) continue;
        const CounterFormat& format = counter.reading->format;
        if (format.unit != track.format->unit) {
            track.findings.push_back(clip_finding(
                track, Severity::caution,
                fmt::format("The counter is shown in another way from here on ({}), in another "
                            "unit; it was not read there.",
                            format.pattern),
                "Cut the clip here, or give the length by tape.", span.from_s));
            continue;
        }
        track.findings.push_back(clip_finding(
            track, Severity::info,
            fmt::format("The counter stands elsewhere in the picture for {:.0f} s ({}).",
                        span.to_s - span.from_s, format.pattern),
            "Nothing.", span.from_s));
        for (CounterSample& sample : samples_of(reading, counter)) {
            const auto same = std::lower_bound(
                track.samples.begin(), track.samples.end(), sample.time_s - 1e-6,
                [](const CounterSample& s, double time_s) { return s.time_s < time_s; });
            if (same != track.samples.end() && std::abs(same->time_s - sample.time_s) < 1e-6) {
                *same = std::move(sample);
            }
        }
    }
}

void set_events(Track& track) {
    CounterEvents events = find_events(track.samples, track.format->tick(),
                                       metres_per_count(track.format->unit, LengthUnit::foot));
    track.holds = std::move(events.holds);
    track.zeroings = std::move(events.zeroings);
    track.pull_backs = std::move(events.pull_backs);
}

void judge_samples(Track& track) {
    set_events(track);
    if (unit_change(track)) {
        withhold_after_unit_change(track);
        set_events(track);
    }
    const auto read = std::count_if(track.samples.begin(), track.samples.end(),
                                    [](const CounterSample& s) { return s.counter.has_value(); });
    track.coverage = static_cast<double>(read) / static_cast<double>(track.samples.size());
    tell_of_readings(track);
}

}  // namespace

Track read_clip(const std::filesystem::path& clip, const ReadOptions& options,
                const ReadProgress& progress) {
    Track track;
    track.clip = describe_clip(clip);
    const SpanReading reading = read_span(clip, {}, options, progress);
    if (!reading.why_not.empty()) {
        refuse(reading.why_not, reading.what_to_do, track);
        return track;
    }
    describe(reading.report, track);
    const CounterChoice counter = likeliest_counter(reading.lines);
    track.samples = samples_of(reading, counter);
    if (track.samples.empty()) {
        refuse("No frame of it could be decoded.", "Copy it again from the recorder.", track);
        return track;
    }
    track.other_fields = other_fields(reading.lines, counter);
    tell_of_choice(counter, reading, track);
    if (counter.reading != nullptr) {
        track.format = counter.reading->format;
        look_again(clip, options, track);
        judge_samples(track);
        keep_water(reading.water, track);
        keep_marks(reading.water, track);
        tell_of_disagreements(disagreements(track, reading.times_s, reading.motion), track);
    }
    keep_company(reading, counter, track);
    if (progress) progress(1.0);
    return track;
}

}  // namespace sondeline
