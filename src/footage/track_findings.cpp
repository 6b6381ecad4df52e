#include "footage/track_findings.hpp"

#include <algorithm>
#include <optional>
#include <vector>

#include <fmt/format.h>

namespace sondeline {
namespace {

constexpr double kUnreadWorthACaution = 0.1;
constexpr double kUnreadWorthAWord = 0.02;
constexpr double kLongUnread_s = 5.0;
constexpr double kUnreadByReach_s = 0.8;
constexpr double kTooUnclear = 0.3;

struct Stretch {
    double from_s = 0.0;
    double to_s = 0.0;
    std::string reason;
    bool by_reach = false;  // right before or after the furthest reading
    double length_s() const { return to_s - from_s; }
};

// Stretches without a reading, in time order.
std::vector<Stretch> unread_stretches(const std::vector<CounterSample>& samples) {
    std::optional<double> furthest;
    for (const CounterSample& sample : samples) {
        if (sample.counter)
            furthest = std::max(furthest.value_or(*sample.counter), *sample.counter);
    }
    std::vector<Stretch> stretches;
    const CounterSample* before = nullptr;
    for (const CounterSample& sample : samples) {
        const bool goes_on = before != nullptr && !before->counter;
        const bool by_furthest =
            before != nullptr && before->counter && before->counter == furthest;
        if (!sample.counter) {
            if (!goes_on) {
                stretches.push_back({sample.time_s, sample.time_s, sample.reason, by_furthest});
            }
            stretches.back().to_s = sample.time_s;
        } else if (goes_on && sample.counter == furthest) {
            stretches.back().by_reach = true;
        }
        before = &sample;
    }
    return stretches;
}

Stretch longest_of(const std::vector<Stretch>& stretches, bool by_reach_only) {
    Stretch longest;
    for (const Stretch& stretch : stretches) {
        if (by_reach_only && !stretch.by_reach) continue;
        if (stretch.length_s() > longest.length_s()) longest = stretch;
    }
    return longest;
}

std::string clock(double time_s) {
    const int seconds = static_cast<int>(time_s);
    return fmt::format("{}:{:02}", seconds / 60, seconds % 60);
}

}  // namespace

Finding clip_finding(const Track& track, Severity severity, std::string what,
                     std::string what_to_do, std::optional<double> time_s) {
    Finding finding;
    finding.severity = severity;
    finding.where.file = track.clip.name;
    finding.where.time_s = time_s;
    finding.what = std::move(what);
    finding.what_to_do = std::move(what_to_do);
    return finding;
}

void tell_of_frames(const FrameReport& report, Track& track) {
    const auto tell = [&](Severity severity, std::string what, std::string what_to_do,
                          std::optional<double> time_s = {}) {
        track.findings.push_back(
            clip_finding(track, severity, std::move(what), std::move(what_to_do), time_s));
    };
    if (report.read_error) {
        tell(Severity::problem, "The medium gave an error; the clip was read only up to there.",
             "Copy the clip again from the recorder.", report.last_time_s);
    }
    if (report.missing_s > 0.0) {
        tell(Severity::caution,
             fmt::format("The clip is cut off: its last {:.0f} s are not in the file.",
                         report.missing_s),
             "Copy it again from the recorder; if it is the same there, the end of the push is "
             "lost.",
             report.last_time_s);
    }
    if (report.damaged_frames + report.rejected_packets > 0) {
        tell(Severity::caution,
             fmt::format("{} of {} frames are damaged.",
                         report.damaged_frames + report.rejected_packets, report.frames),
             "Nothing is read from damaged frames. Copy the clip again if much is missing.");
    }
    if (report.gaps > 0) {
        tell(Severity::caution,
             fmt::format("Time stands still or frames are missing {} times; the longest gap is "
                         "{:.1f} s.",
                         report.gaps, report.longest_gap_s),
             "A push during the gap was not seen; compare the counter on either side.",
             report.longest_gap_at_s);
    }
    if (report.back_steps > 0) {
        tell(Severity::caution,
             fmt::format("The clip's time runs backwards or leaps {} times; it was made to run on "
                         "from frame to frame.",
                         report.back_steps),
             "Do not use times into the footage behind the first leap for fixes; use the counter.");
    }
    if (report.other_sizes > 0) {
        tell(Severity::caution,
             fmt::format("{} frames are of another size than the first and were passed over.",
                         report.other_sizes),
             "Export the clip again at one size.");
    }
}

void tell_of_unclear_digits(const LineReading& counter, Track& track) {
    const auto count = [&](Unread why) {
        return static_cast<double>(std::ranges::count(counter.samples, why, &LineSample::unread));
    };
    const double unclear = count(Unread::unsure);
    const double share = unclear / std::max(1.0, unclear + count(Unread::no));
    if (share <= kTooUnclear) return;
    track.findings.push_back(clip_finding(
        track, Severity::problem,
        fmt::format("In {:.0f} % of the pictures that show the counter, read as {}, its digits "
                    "are not clear: what was read may be wrong as well.",
                    100.0 * share, counter.format.pattern),
        "Compare a few readings with the picture before using this clip."));
}

std::string opening_of_doubt(const CounterFormat& format) {
    return fmt::format("The counter, read as {}, could be read otherwise", format.pattern);
}

void tell_of_readings(Track& track) {
    const double unread = 1.0 - track.coverage;
    if (unread > kUnreadWorthAWord) {
        const Severity severity =
            unread > kUnreadWorthACaution ? Severity::caution : Severity::info;
        track.findings.push_back(clip_finding(
            track, severity, fmt::format("{:.0f} % of the clip could not be read.", 100.0 * unread),
            "Lengths use only what was read; look at the clip where it matters."));
    }
    const std::vector<Stretch> unread_parts = unread_stretches(track.samples);
    const Stretch longest = longest_of(unread_parts, false);
    if (longest.length_s() >= kLongUnread_s) {
        track.findings.push_back(
            clip_finding(track, Severity::caution,
                         fmt::format("The counter could not be read from {} to {}: {}.",
                                     clock(longest.from_s), clock(longest.to_s), longest.reason),
                         "Look at the clip there.", longest.from_s));
    }
    const Stretch by_reach = longest_of(unread_parts, true);
    const bool told = longest.length_s() >= kLongUnread_s && longest.from_s == by_reach.from_s;
    if (by_reach.length_s() >= kUnreadByReach_s && !told) {
        track.findings.push_back(clip_finding(
            track, Severity::caution,
            fmt::format("The counter could not be read for {:.1f} s next to its furthest reading: "
                        "the head may have been further in.",
                        by_reach.length_s()),
            "Look at the clip there and compare the furthest counter.", by_reach.from_s));
    }
    for (const Zeroing& zeroing : track.zeroings) {
        track.findings.push_back(clip_finding(
            track, zeroing.gap_known ? Severity::info : Severity::caution,
            fmt::format("The counter was set from {:.6g} to {:.6g}{}.", zeroing.counter_before,
                        zeroing.counter_after,
                        zeroing.gap_known ? "" : " while it could not be read"),
            zeroing.gap_known
                ? "Nothing, if this is the start of the run; otherwise say so in the job."
                : "What was pushed meanwhile is not known; give the length by tape.",
            zeroing.time_s));
    }
}

}  // namespace sondeline
