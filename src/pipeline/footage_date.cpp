#include "pipeline/footage_date.hpp"

#include <cmath>
#include <ctime>
#include <map>

#include <fmt/chrono.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

// Recorders whose clock was never set begin at 1904, 1970 or 1980.
constexpr double kNoClockYet_s = 631152000.0;     // 1990-01-01
constexpr double kNoDayAnyMore_s = 4102444800.0;  // 2100-01-01

std::string day_of_file(const ClipDay& clip, double utc_offset_s) {
    if (!clip.made_since_s || !(*clip.made_since_s > kNoClockYet_s) ||
        !(*clip.made_since_s < kNoDayAnyMore_s)) {
        return "";
    }
    const auto local_s = static_cast<std::time_t>(std::floor(*clip.made_since_s + utc_offset_s));
    return fmt::format("{:%Y-%m-%d}", fmt::gmtime(local_s));
}

}  // namespace

std::vector<ClipDay> clip_days(const std::vector<Track>& tracks) {
    std::vector<ClipDay> days;
    days.reserve(tracks.size());
    for (const Track& track : tracks) {
        days.push_back(
            {track.clip.name, track.clock ? track.clock->date : "", track.clip.creation_time_s});
    }
    return days;
}

FromFootage footage_day(const JobSettings& settings, const std::vector<ClipDay>& clips) {
    FromFootage footage;
    if (!settings.date.empty()) return footage;
    const auto take_newest = [&](auto&& day_of, std::string_view words) {
        for (const ClipDay& clip : clips) {
            // Dates of this form sort as text.
            const std::string day = day_of(clip);
            if (day <= footage.date) continue;
            footage.date = day;
            footage.date_source = fmt::format(fmt::runtime(words), clip.clip);
        }
    };
    take_newest([](const ClipDay& clip) { return clip.shown; },
                "the clock in the picture of {} shows it");
    if (footage.date.empty()) {
        take_newest([&](const ClipDay& clip) { return day_of_file(clip, settings.utc_offset_s); },
                    "the file {} says that it was made on that day");
    }
    return footage;
}

Findings tell_other_days(const JobSettings& settings, const std::vector<ClipDay>& clips,
                         const FromFootage& day) {
    const std::string& of_job = settings.date.empty() ? day.date : settings.date;
    std::map<std::string, std::vector<std::string>> clips_of_day;
    for (const ClipDay& clip : clips) {
        if (!clip.shown.empty() && clip.shown != of_job) {
            clips_of_day[clip.shown].push_back(clip.clip);
        }
    }
    Findings findings;
    if (of_job.empty()) return findings;
    for (const auto& [shown, names] : clips_of_day) {
        Where where;
        where.file = names.front();
        findings.push_back(
            {Severity::caution, where,
             fmt::format("The clock in the picture of {} shows the day {}, and the job is of {}: "
                         "the footage may be of another day, and of another site.",
                         fmt::join(names, ", "), shown, of_job),
             "Check that these clips belong to this job. If only the recorder's clock or the date "
             "in the job table is wrong, the lengths stand; correct the date.",
             Consequence::none});
    }
    return findings;
}

}  // namespace sondeline
