#include <algorithm>
#include <cmath>
#include <cstdint>

#include <fmt/format.h>

#include "sondeline/footage.hpp"

#include "footage/holds.hpp"
#include "footage/line_watch.hpp"
#include "footage/look_around.hpp"
#include "footage/scene.hpp"
#include "footage/track_findings.hpp"

namespace sondeline {
namespace {

constexpr double kShareOfLookAround = 0.05;  // of the whole work, for progress
constexpr double kLikelyCounter = 0.5;
constexpr double kAnotherCounter = 0.3;  // a second line this likely is worth a word

std::string why_unread(Unread unread) {
    switch (unread) {
        case Unread::no: return "";
        case Unread::unsure: return "the digits are not clear enough";
        case Unread::between_values: return "the digits are changing";
        case Unread::text_hidden: return "the counter is not shown";
        case Unread::near_a_jump: return "the counter jumps here";
    }
    return "";
}

// Ticks as the decimal the counter shows; dividing keeps 123 tenths at the double nearest to 12.3.
double shown(std::int64_t ticks, const CounterFormat& format) {
    const double value = static_cast<double>(ticks);
    return format.unit == CounterUnit::feet_and_inches ? value / 12.0
                                                       : value / std::pow(10.0, format.decimals);
}

// What was met while the clip was decoded once from start to end.
struct Watched {
    std::vector<double> times_s;    // of the samples that were looked at
    std::vector<double> damaged_s;  // of those left out
    std::vector<WatchedLine> lines;
    FrameReport report;
};

class OnePass {
  public:
    OnePass(FrameSource& frames, const Located& located, const LookAround& look,
            const ReadOptions& options)
        : frames_(frames),
          size_(frames.headers().width, frames.headers().height),
          watch_(located.lines, look.key_frames, size_, look.interlaced, options),
          motion_(boxes(located.lines), size_) {}

    Watched run(std::vector<KeptFrame> start, const ReadProgress& progress) {
        for (const KeptFrame& frame : start) take(frame.time_s, frame.luma, frame.damaged);
        start = {};
        while (const std::optional<Frame> frame = frames_.next()) {
            take(frame->time_s, frame->luma, frame->damaged);
            if (progress) {
                progress(kShareOfLookAround + (1.0 - kShareOfLookAround) * frames_.share_read());
            }
        }
        watched_.lines = watch_.finish();
        watched_.report = frames_.report();
        return std::move(watched_);
    }

  private:
    static std::vector<PixelBox> boxes(const std::vector<TextLine>& lines) {
        std::vector<PixelBox> found;
        for (const TextLine& line : lines) found.push_back(line.box);
        return found;
    }

    void take(double time_s, const cv::Mat1b& luma, bool damaged) {
        if (luma.size() != size_) return;
        if (damaged) {
            watched_.damaged_s.push_back(time_s);
            return;
        }
        watched_.times_s.push_back(time_s);
        watch_.take(time_s, luma, motion_.motion_to(luma));
    }

    FrameSource& frames_;
    cv::Size size_;
    LineWatch watch_;
    MotionMeter motion_;
    Watched watched_;
};

void describe(const Watched& watched, Track& track) {
    const FrameReport& report = watched.report;
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

// A reading of some line, and how much it looks like the reel's counter.
struct Choice {
    const WatchedLine* line = nullptr;
    const LineReading* reading = nullptr;
};

bool better(const LineReading& a, const LineReading& b) {
    if (a.counter_probability != b.counter_probability) {
        return a.counter_probability > b.counter_probability;
    }
    return a.score > b.score;
}

Choice likeliest_counter(const std::vector<WatchedLine>& lines) {
    Choice best;
    for (const WatchedLine& line : lines) {
        for (const LineReading& reading : line.readings) {
            if (reading.kind != LineKind::counter || reading.counter_probability < kLikelyCounter) {
                continue;
            }
            if (best.reading == nullptr || better(reading, *best.reading)) {
                best = {&line, &reading};
            }
        }
    }
    return best;
}

FieldKind field_kind(const WatchedLine& line) {
    for (const LineReading& reading : line.readings) {
        if (reading.kind == LineKind::counter && reading.counter_probability >= kAnotherCounter) {
            return FieldKind::second_counter;
        }
    }
    const LineKind kind = line.readings.empty() ? line.kind : line.readings.front().kind;
    switch (kind) {
        case LineKind::clock: return FieldKind::clock;
        case LineKind::date: return FieldKind::date;
        case LineKind::still_text: return FieldKind::title;
        case LineKind::counter:
        case LineKind::unreadable: break;
    }
    return FieldKind::other;
}

void list_other_fields(const std::vector<WatchedLine>& lines, const Choice& counter, Track& track) {
    for (const WatchedLine& line : lines) {
        if (&line == counter.line) continue;
        OverlayField field;
        const LocatedLine& at = line.located;
        field.box = {at.crop.x + at.text.x, at.crop.y + at.text.y, at.text.width, at.text.height};
        field.kind = field_kind(line);
        track.other_fields.push_back(field);
        if (field.kind == FieldKind::second_counter && counter.reading != nullptr) {
            track.findings.push_back(clip_finding(
                track, Severity::caution,
                fmt::format("A second number in the picture (at {}, {}) also behaves like a "
                            "counter; the one reading {} was taken.",
                            field.box.x, field.box.y, counter.reading->format.pattern),
                "Check that this is the reel's counter."));
        }
    }
}

void take_samples(const LineReading& reading, const Watched& watched, Track& track) {
    const std::size_t count = std::min(reading.samples.size(), watched.times_s.size());
    for (std::size_t i = 0; i < count; ++i) {
        const LineSample& read = reading.samples[i];
        CounterSample sample;
        sample.time_s = watched.times_s[i];
        if (read.unread == Unread::no) {
            sample.counter = shown(read.ticks, reading.format);
            sample.probability = read.probability;
        } else {
            sample.reason = why_unread(read.unread);
        }
        track.samples.push_back(std::move(sample));
    }
}

void add_missing(const std::vector<double>& times_s, const char* reason, Track& track) {
    for (const double time_s : times_s) {
        CounterSample sample;
        sample.time_s = time_s;
        sample.reason = reason;
        track.samples.push_back(std::move(sample));
    }
    std::stable_sort(
        track.samples.begin(), track.samples.end(),
        [](const CounterSample& a, const CounterSample& b) { return a.time_s < b.time_s; });
}

void take_counter(const Watched& watched, Track& track) {
    const Choice counter = likeliest_counter(watched.lines);
    list_other_fields(watched.lines, counter, track);
    if (counter.reading == nullptr) {
        add_missing(watched.times_s, "no counter was found", track);
        add_missing(watched.damaged_s, "the picture is damaged", track);
        track.findings.push_back(clip_finding(
            track, Severity::caution,
            watched.lines.empty()
                ? "No counter was found: no text stands fixed in the picture."
                : "No counter was found: none of the text in the picture counts as a reel does.",
            "Look at the clip. If it shows a counter, give the run's length by tape and keep the "
            "clip as an example of what could not be read."));
        return;
    }
    const LineReading& reading = *counter.reading;
    track.format = reading.format;
    take_samples(reading, watched, track);
    add_missing(watched.damaged_s, "the picture is damaged", track);
    const auto read = std::count_if(track.samples.begin(), track.samples.end(),
                                    [](const CounterSample& s) { return s.counter.has_value(); });
    if (!track.samples.empty()) {
        track.coverage = static_cast<double>(read) / static_cast<double>(track.samples.size());
    }
    CounterEvents events = find_events(track.samples, reading.format.tick(),
                                       metres_per_count(reading.format.unit, LengthUnit::foot));
    track.holds = std::move(events.holds);
    track.zeroings = std::move(events.zeroings);
    track.pull_backs = std::move(events.pull_backs);
    if (!reading.doubt.empty()) {
        track.findings.push_back(
            clip_finding(track, Severity::problem,
                         fmt::format("The counter, read as {}, could be read otherwise: {}.",
                                     reading.format.pattern, reading.doubt),
                         "Compare a few readings with the picture before using this clip."));
    }
    tell_of_readings(track);
}

}  // namespace

Track read_clip(const std::filesystem::path& clip, const ReadOptions& options,
                const ReadProgress& progress) {
    Track track;
    track.clip = describe_clip(clip);
    FrameSource::Opened opened =
        FrameSource::open(clip, {.key_frames_only = false, .per_s = options.samples_per_s});
    if (!opened.source) {
        track.clip.damaged = true;
        Finding refused = clip_finding(track, Severity::problem, opened.why_not, opened.what_to_do);
        refused.consequence = Consequence::input_rejected;
        track.findings.push_back(std::move(refused));
        return track;
    }
    FrameSource& frames = *opened.source;
    LookAround look = look_around(clip, frames.headers());
    Located located = locate_overlay(look, frames, clip);
    if (progress) progress(kShareOfLookAround);
    OnePass pass(frames, located, look, options);
    look.key_frames = {};
    const Watched watched = pass.run(std::move(located.start), progress);
    describe(watched, track);
    if (watched.times_s.empty()) {
        Finding nothing = clip_finding(track, Severity::problem, "No frame of it could be decoded.",
                                       "Copy it again from the recorder.");
        nothing.consequence = Consequence::input_rejected;
        track.findings.push_back(std::move(nothing));
        return track;
    }
    take_counter(watched, track);
    if (progress) progress(1.0);
    return track;
}

}  // namespace sondeline
