#include "pipeline/footage_start.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

#include <fmt/format.h>

namespace sondeline {

namespace {

constexpr double kHalfDay_s = 43200.0;
constexpr double kFollows_s = 2.0;  // clips so far apart still follow one another
constexpr const char* kFillIn = "Fill in footage_start of the run, or give the fixes by counter.";

std::vector<const Track*> clips_of(const Run& run, const Job& job,
                                   const std::vector<Track>& tracks) {
    std::vector<const Track*> clips;
    for (const std::string& name : run.footage) {
        const auto file = std::ranges::find(job.footage, name, &FootageFile::name);
        if (file == job.footage.end()) continue;
        clips.push_back(&tracks[static_cast<std::size_t>(file - job.footage.begin())]);
    }
    return clips;
}

// Clocks of the fixes of a run, in seconds since 1970 UTC.
std::vector<double> fix_clocks_s(const Run& run, const Job& job) {
    std::vector<double> clocks;
    for (const Fix& fix : job.fixes) {
        if (fix.run == run.id && fix.clock_s && !fix.counter && !fix.video_time_s) {
            clocks.push_back(fix.clock_s->value);
        }
    }
    return clocks;
}

Where at_run(const Run& run) {
    Where where = where_is(run.source);
    where.column.clear();
    where.run = run.id.text;
    return where;
}

std::string words_of(double after_midnight_s) {
    const auto seconds = static_cast<long>(std::floor(after_midnight_s));
    return fmt::format("{:02}:{:02}:{:02}", seconds / 3600, seconds / 60 % 60, seconds % 60);
}

// "10:00:10 on 2026-05-14", in the job's zone.
std::string clock_words(double since_1970_s, double utc_offset_s) {
    using namespace std::chrono;
    const double local_s = since_1970_s + utc_offset_s;
    const sys_days day = floor<days>(sys_seconds(seconds(std::llround(std::floor(local_s)))));
    const year_month_day date(day);
    const auto midnight_s = static_cast<double>(day.time_since_epoch().count()) * 86400.0;
    return fmt::format("{} on {:04}-{:02}-{:02}", words_of(local_s - midnight_s),
                       static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                       static_cast<unsigned>(date.day()));
}

// Seconds from the first frame of the first clip to the last of the last.
double length_s(const std::vector<const Track*>& clips) {
    double sum_s = 0.0;
    for (const Track* track : clips) sum_s += track->clip.duration_s;
    return sum_s;
}

// Whether the clocks of all clips agree with the clips lying end to end.
bool follow_one_another(const std::vector<const Track*>& clips) {
    double expected_s = clips.front()->clock->start_s;
    for (const Track* track : clips) {
        if (!track->clock) return false;
        const double apart_s = std::remainder(track->clock->start_s - expected_s, kHalfDay_s);
        if (std::abs(apart_s) > kFollows_s) return false;
        expected_s += track->clip.duration_s;
    }
    return true;
}

// What settles the beginning, or why nothing does.
struct Start {
    std::optional<double> start_s;  // since 1970 UTC
    Severity severity = Severity::info;
    std::string what;
    std::string what_to_do;
};

Start withheld(std::string why) {
    return {std::nullopt, Severity::caution, std::move(why), kFillIn};
}

// Of the two halves of the day that a 12-hour clock may mean, the only one in which every fix falls
// into the footage.
std::optional<double> half_of_day(double morning_s, const std::vector<double>& fixes_s,
                                  double footage_s) {
    constexpr double kSlack_s = 60.0;
    std::optional<double> only;
    for (const double start_s : {morning_s, morning_s + kHalfDay_s}) {
        const bool holds_all = std::ranges::all_of(fixes_s, [&](double fix_s) {
            return fix_s >= start_s - kSlack_s && fix_s <= start_s + footage_s + kSlack_s;
        });
        if (!holds_all) continue;
        if (only) return std::nullopt;
        only = start_s;
    }
    return only;
}

Start from_overlay(const JobSettings& settings, const std::vector<const Track*>& clips,
                   const std::vector<double>& fixes_s) {
    const ClipDescription& clip = clips.front()->clip;
    const OverlayClock& clock = *clips.front()->clock;
    if (clips.size() > 1 && !follow_one_another(clips)) {
        return withheld(
            fmt::format("The clock in the picture of {} was not used for the fixes: the "
                        "run's clips do not follow one another without a gap.",
                        clip.name));
    }
    const std::string& date = settings.date.empty() ? clock.date : settings.date;
    const auto midnight_s = parse_clock_s("00:00:00", date, settings.utc_offset_s);
    if (!midnight_s) {
        return withheld(fmt::format(
            "The clock in the picture of {} was not used: no date is known.", clip.name));
    }
    double start_s = *midnight_s + clock.start_s;
    if (clock.twelve_hour) {
        const auto settled = half_of_day(start_s, fixes_s, length_s(clips));
        if (!settled) {
            return withheld(
                fmt::format("The clock in the picture of {} may mean morning or "
                            "afternoon, and the fixes' clocks do not settle it.",
                            clip.name));
        }
        start_s = *settled;
    }
    Start start{start_s, Severity::info,
                fmt::format("The footage was taken to begin at {} (to {:.1f} s), as the clock in "
                            "the picture of {} shows.",
                            words_of(start_s - *midnight_s), clock.bound_s, clip.name),
                "Fill in footage_start if the recorder's clock was wrong."};
    if (!clock.date.empty() && clock.date != date) {
        start.severity = Severity::caution;
        start.what += fmt::format(" Its date is {}, the job's is {}; the job's was followed.",
                                  clock.date, date);
    }
    return start;
}

Start start_of(const Run& run, const Job& job, const std::vector<const Track*>& clips) {
    const ClipDescription& clip = clips.front()->clip;
    if (clips.front()->clock) {
        return from_overlay(job.settings, clips, fix_clocks_s(run, job));
    }
    if (!clip.creation_time_s) {
        return withheld(
            "The clock of the footage is not known: the picture shows none that can be "
            "read, and the file does not say when it was made.");
    }
    // Recorders write it in odd zones, and at the beginning or the end of the recording.
    return withheld(fmt::format(
        "The clock of the footage is not known: the picture shows none that can be read. {} says "
        "that it was made at {}, but recorders often write that time in another zone, or at the "
        "end of the recording; it was not used.",
        clip.name, clock_words(*clip.creation_time_s, job.settings.utc_offset_s)));
}

}  // namespace

Job with_footage_start(Job job, const std::vector<Track>& tracks) {
    for (Run& run : job.runs) {
        if (run.footage_start_s || fix_clocks_s(run, job).empty()) continue;
        const std::vector<const Track*> clips = clips_of(run, job, tracks);
        if (clips.empty()) continue;
        Start start = start_of(run, job, clips);
        if (start.start_s) {
            run.footage_start_s =
                Cell<double>{*start.start_s, SourceCell{clips.front()->clip.name, 0, ""}};
        }
        job.findings.push_back({start.severity, at_run(run), std::move(start.what),
                                std::move(start.what_to_do), Consequence::none});
    }
    return job;
}

}  // namespace sondeline
