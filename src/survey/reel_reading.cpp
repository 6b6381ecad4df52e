#include "survey/reel_reading.hpp"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

Where at_run(const Run& run) {
    Where where = where_is(run.source);
    where.column.clear();
    where.run = run.id.text;
    return where;
}

std::string_view unit_words(CounterUnit unit) {
    return unit == CounterUnit::metre ? "metres" : "feet";
}

// The table wins over the picture, the picture over the job's unit.
std::optional<double> settle_unit(const Run& run, const JoinedTrack* track,
                                  const JobSettings& settings, Findings& findings) {
    const CounterUnit shown = track == nullptr ? CounterUnit::unknown : track->unit;
    if (run.counter_unit) {
        const bool table_metric = *run.counter_unit == LengthUnit::metre;
        if (shown != CounterUnit::unknown && (shown == CounterUnit::metre) != table_metric) {
            findings.push_back(
                {Severity::caution, at_run(run),
                 fmt::format("The picture shows {}, but the table says the counter is in {}; the "
                             "table was followed.",
                             unit_words(shown), unit_symbol(*run.counter_unit)),
                 "Check the column counter_unit: a wrong unit makes every length wrong by a factor "
                 "of three."});
        }
        return metres_per(*run.counter_unit);
    }
    if (shown != CounterUnit::unknown) {
        const bool survey_feet = settings.length_unit == LengthUnit::us_survey_foot;
        return metres_per_count(shown, survey_feet ? LengthUnit::us_survey_foot : LengthUnit::foot);
    }
    if (settings.length_unit) return metres_per(*settings.length_unit);
    return std::nullopt;
}

// The continuous value of a shown counter, by the reading that came nearest to it; the earliest of
// several. Beyond all readings the offset of that reading holds on.
double pushed_of_counter(const JoinedTrack& track, double counter) {
    double least = 1e300;
    double offset = 0.0;
    for (const PushSample& sample : track.samples) {
        if (!sample.sample.counter || !sample.pushed) continue;
        const double away = std::abs(*sample.sample.counter - counter);
        if (away < least - 1e-9) {
            least = away;
            offset = *sample.pushed - *sample.sample.counter;
        }
    }
    return counter + offset;
}

// A counter that was set anew on the way may show the same figure at two places of the pipe.
bool shown_at_two_places(const JoinedTrack& track, double counter) {
    std::optional<double> offset;
    for (const PushSample& sample : track.samples) {
        if (!sample.sample.counter || !sample.pushed) continue;
        if (std::abs(*sample.sample.counter - counter) > 2.0 * track.tick) continue;
        const double now = *sample.pushed - *sample.sample.counter;
        if (offset && std::abs(now - *offset) > 1.5 * track.tick) return true;
        offset = now;
    }
    return false;
}

// Where the counter was set to about zero before the push had gone a metre.
std::optional<double> zeroed_at_start(const JoinedTrack& track, double metres_per_count) {
    std::optional<double> offset;
    for (const PushSample& sample : track.samples) {
        if (!sample.sample.counter || !sample.pushed) continue;
        const double now = *sample.pushed - *sample.sample.counter;
        const bool changed = offset && std::abs(now - *offset) > 1.5 * track.tick;
        const double gone_m = (*sample.pushed - track.first->pushed) * metres_per_count;
        if (changed && std::abs(*sample.sample.counter) <= 3.0 * track.tick &&
            std::abs(gone_m) < 1.0) {
            return *sample.pushed - *sample.sample.counter;
        }
        offset = now;
    }
    return std::nullopt;
}

// How far from the start of a run its footage may begin before anybody need know.
constexpr double telling_start_m = 0.15;

// A riser and a tank are passed within this, so that footage seldom begins further before its pipe
// (common practice, no source).
constexpr double farthest_before_m = 4.0;

// A start that was typed and is not where the footage begins may be right, as when the counter was
// set at the lid; or a slip of one digit that moves the whole run.
void tell_start_elsewhere(const Run& run, ReelReading& reel, Findings& findings) {
    const JoinedTrack& track = *reel.track;
    const double apart_m = (reel.start - track.first->pushed) * reel.metres_per_count.value_or(1.0);
    if (!(std::abs(apart_m) > telling_start_m)) return;
    const bool too_far = apart_m > farthest_before_m;
    const bool after = apart_m < 0.0;
    const bool never_set = run.counter_at_start->value == 0.0;
    const bool doubted = too_far || never_set || after;
    reel.start_assumed = doubted;
    reel.start_doubt_m = -apart_m;
    const char* why = "";
    if (never_set) {
        why =
            " A 0 is soon written for a counter that nobody set: the bounds of the length reach "
            "both.";
    } else if (too_far) {
        why =
            " That is far before a pipe for a camera to begin: a digit may be wrong, and the "
            "bounds of the length reach both.";
    } else if (after) {
        why =
            " Either the way between was pushed without footage, or a digit is wrong: unless its "
            "fixes tell, the bounds of the length reach both.";
    }
    Where where = at_run(run);
    where.column = "counter at start";
    findings.push_back(
        {doubted ? Severity::caution : Severity::info, where,
         fmt::format("The footage begins with the counter at {:g}, {} the {:g} that was written "
                     "down for the start of the run. Everything counts from {:g}.{}",
                     track.first->counter, apart_m > 0.0 ? "before" : "after",
                     run.counter_at_start->value, run.counter_at_start->value, why),
         "If the lens was at the structure when the footage began, correct counter_at_start."});
}

void settle_start(const Run& run, ReelReading& reel, Findings& findings) {
    const JoinedTrack& track = *reel.track;
    if (run.counter_at_start) {
        reel.start = pushed_of_counter(track, run.counter_at_start->value);
        tell_start_elsewhere(run, reel, findings);
        return;
    }
    if (const auto zeroed = zeroed_at_start(track, reel.metres_per_count.value_or(1.0))) {
        reel.start = *zeroed;
        return;
    }
    reel.start = track.first->pushed - track.first->counter;
    if (std::abs(track.first->counter) <= 3.0 * track.tick) return;
    reel.start_assumed = true;
    reel.start_doubt_m = track.first->counter * reel.metres_per_count.value_or(1.0);
    const bool telling = std::abs(reel.start_doubt_m) > telling_start_m;
    findings.push_back(
        {telling ? Severity::caution : Severity::info, at_run(run),
         fmt::format(
             "The counter first reads {:g}; it was taken to be 0 at the start of the run.{}",
             track.first->counter,
             telling ? " If the lens was at the structure then, the length of the run and "
                       "the places along it are off by as much; the bounds of the length reach "
                       "that."
                     : ""),
         "If it showed something else with the lens at the structure, say so in "
         "counter_at_start."});
}

Figure<double> withheld_length(const Run& run, const std::string& reason, const std::string& todo,
                               Findings& findings) {
    const bool expected = run.status != RunStatus::not_entered;
    findings.push_back({expected ? Severity::problem : Severity::info, at_run(run),
                        fmt::format("No length: {}.", reason), todo,
                        expected ? Consequence::run_not_measured : Consequence::none});
    return withheld<double>(reason, todo);
}

std::vector<std::string> part_words(const JoinedTrack& track) {
    std::vector<std::string> words;
    for (const double part : track.parts) words.push_back(fmt::format("{:.1f}", part));
    return words;
}

Figure<double> measured_length(const Run& run, const ReelReading& reel, Findings& findings) {
    if (reel.track == nullptr) {
        return withheld_length(run, "the run has no footage that could be used",
                               "Add its clip to the folder and name it, and no clip of another "
                               "run, in the column footage.",
                               findings);
    }
    const JoinedTrack& track = *reel.track;
    if (!track.first || !track.furthest) {
        return withheld_length(run, "the counter could not be read in its footage",
                               "Look at the clip: if the counter can be read by eye, type the "
                               "fixes' counters; else push the run again.",
                               findings);
    }
    if (!reel.metres_per_count) {
        return withheld_length(run, "the picture does not show the counter's unit",
                               "Fill in counter_unit for the run (ft or m).", findings);
    }
    if (!track.continuous) {
        return withheld_length(
            run,
            fmt::format(
                "the counter was set anew or a clip is missing on the way; the parts are {}",
                fmt::join(part_words(track), ", ")),
            "Say what was pushed between the parts, or push the run again in one go.", findings);
    }
    // A first reading far from zero may be the start of the run or its middle: nobody said.
    constexpr double farthest_assumed_start_m = 3.0;
    if (reel.start_assumed && (!run.counter_at_start || run.counter_at_start->value == 0.0) &&
        std::abs(track.first->counter) * *reel.metres_per_count > farthest_assumed_start_m) {
        return withheld_length(
            run,
            fmt::format("the counter first reads {:g} and nothing says what it showed at the start",
                        track.first->counter),
            "Fill in counter_at_start: what the counter showed with the lens at the structure.",
            findings);
    }
    const double length_m = (track.furthest->pushed - reel.start) * *reel.metres_per_count;
    if (!(length_m > 0.0)) {
        return withheld_length(run, "the counter never passed its start", "Check counter_at_start.",
                               findings);
    }
    constexpr double long_unread_s = 2.0;
    if (track.unread_before_reach_s > long_unread_s) {
        Where where = at_run(run);
        where.time_s = track.furthest->time_s;
        findings.push_back(
            {Severity::caution, where,
             fmt::format("The counter could not be read for {:.0f} s next to the furthest reading; "
                         "the run may be longer than measured.",
                         track.unread_before_reach_s),
             "Look at the footage there and compare the furthest counter."});
    }
    return figure(length_m);
}

// Between the readings on either side that are near, else that of the one which is.
std::optional<double> pushed_at(const JoinedTrack& track, int clip, double time_s) {
    constexpr double near_s = 1.0;
    const PushSample* before = nullptr;
    const PushSample* after = nullptr;
    for (const PushSample& sample : track.samples) {
        if (sample.clip != clip || !sample.pushed) continue;
        if (sample.sample.time_s <= time_s) {
            before = &sample;
        } else {
            after = &sample;
            break;
        }
    }
    const auto is_near = [&](const PushSample* sample) {
        return sample != nullptr && std::abs(sample->sample.time_s - time_s) <= near_s;
    };
    if (!is_near(before)) return is_near(after) ? after->pushed : std::nullopt;
    if (!is_near(after)) return before->pushed;
    const double share =
        (time_s - before->sample.time_s) / (after->sample.time_s - before->sample.time_s);
    return *before->pushed + share * (*after->pushed - *before->pushed);
}

// How far beyond an end of the run a place may lie and still be taken for it.
constexpr double kept_beyond_end_m = 0.5;
constexpr double kept_before_start_m = 1.0;

// A counter read in metres that would fit in feet; one that is read in feet has no smaller unit.
bool would_fit_in_feet(const ReelReading& reel, double x_m) {
    if (reel.metres_per_count != metres_per(LengthUnit::metre)) return false;
    const double as_feet_m = x_m * metres_per(LengthUnit::foot);
    return as_feet_m > 0.3 * *reel.length_m && as_feet_m <= *reel.length_m + kept_beyond_end_m;
}

}  // namespace

ReelReading read_reel(const Run& run, const JoinedTrack* track, const JobSettings& settings,
                      Findings& findings) {
    ReelReading reel;
    const bool in_doubt = track != nullptr && track->point_in_doubt;
    reel.metres_per_count = settle_unit(run, track, settings, findings);
    if (in_doubt) {
        if (run.counter_at_start) reel.start = run.counter_at_start->value;
        reel.length_m = withheld_length(
            run, "the picture does not show for sure where the counter's decimal point stands",
            "Look at a clip of the run, and write in counter_decimals how many digits stand behind "
            "the point.",
            findings);
        return reel;
    }
    reel.track = track;
    if (track != nullptr && track->first) {
        settle_start(run, reel, findings);
    } else if (run.counter_at_start) {
        reel.start = run.counter_at_start->value;
    }
    reel.length_m = measured_length(run, reel, findings);
    return reel;
}

std::optional<double> x_of_counter(const ReelReading& reel, double counter) {
    if (!reel.metres_per_count) return std::nullopt;
    const bool has_readings = reel.track != nullptr && reel.track->first;
    if (has_readings && shown_at_two_places(*reel.track, counter)) return std::nullopt;
    const double pushed = has_readings ? pushed_of_counter(*reel.track, counter) : counter;
    return (pushed - reel.start) * *reel.metres_per_count;
}

std::optional<double> x_of_video_time(const ReelReading& reel, double time_s) {
    if (reel.track == nullptr || !reel.metres_per_count) return std::nullopt;
    const auto& starts_s = reel.track->clip_starts_s;
    std::optional<std::size_t> clip;
    for (std::size_t i = 0; i < starts_s.size(); ++i) {
        if (starts_s[i] && *starts_s[i] <= time_s) clip = i;
    }
    if (!clip) return std::nullopt;
    const auto pushed = pushed_at(*reel.track, static_cast<int>(*clip), time_s - *starts_s[*clip]);
    if (!pushed) return std::nullopt;
    return (*pushed - reel.start) * *reel.metres_per_count;
}

std::optional<OutsideRun> outside_run(const ReelReading& reel, double x_m, LengthUnit unit) {
    const std::string check = "Check the counter and whether it belongs to another run.";
    if (x_m < -kept_before_start_m) {
        return OutsideRun{
            fmt::format("{} before the start of the run", length_words(-x_m, unit, 1)), check};
    }
    if (!reel.length_m || x_m <= *reel.length_m + kept_beyond_end_m) return std::nullopt;
    return OutsideRun{
        fmt::format("{} beyond the end of the run", length_words(x_m - *reel.length_m, unit, 1)),
        would_fit_in_feet(reel, x_m) ? "It would fit if it were in feet: check the unit." : check};
}

std::vector<StandStill> stand_stills(const ReelReading& reel) {
    std::vector<StandStill> stills;
    if (reel.track == nullptr || !reel.metres_per_count) return stills;
    constexpr double shortest_s = 2.0;
    std::optional<double> pushed;
    double from_s = 0.0;
    double to_s = 0.0;
    int clip = -1;
    const auto close = [&] {
        if (pushed && to_s - from_s >= shortest_s) {
            stills.push_back({(*pushed - reel.start) * *reel.metres_per_count, to_s - from_s});
        }
        pushed.reset();
    };
    for (const PushSample& sample : reel.track->samples) {
        if (!sample.pushed) continue;
        const bool same = pushed && sample.clip == clip &&
                          std::abs(*sample.pushed - *pushed) <= 1.01 * reel.track->tick;
        if (!same) {
            close();
            pushed = sample.pushed;
            from_s = sample.sample.time_s;
            clip = sample.clip;
        }
        to_s = sample.sample.time_s;
    }
    close();
    return stills;
}

}  // namespace sondeline
