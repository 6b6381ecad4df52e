#include "survey/place_fixes.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "survey/clock_course.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// Defaults of the tables, one standard deviation.
constexpr double default_h_sd_m = 0.15;
constexpr double default_heading_sd_rad = 5.0 * degree_rad;
constexpr double least_depth_sd_m = 0.05;
constexpr double depth_sd_share = 0.05;
constexpr double probe_sd_m = 0.02;
constexpr double open_sd_m = 0.01;

// Doubt about a moment that was written down: common practice, no source. Two clocks that were set
// by hand agree no better than to two seconds.
constexpr double video_time_doubt_s = 1.0;
constexpr double clock_doubt_s = 2.0;

Where at_fix(const Fix& fix) {
    Where where = where_is(fix.source);
    where.column.clear();
    where.run = fix.run.text;
    return where;
}

double depth_sd_m(const Fix& fix) {
    if (fix.depth_accuracy_m && fix.depth_accuracy_m->value > 0.0) {
        return fix.depth_accuracy_m->value;
    }
    switch (fix.method) {
        case FixMethod::probe: return probe_sd_m;
        case FixMethod::open: return open_sd_m;
        case FixMethod::sonde: break;
    }
    return std::max(least_depth_sd_m, depth_sd_share * fix.depth_m->value);
}

double positive_or(const MaybeCell<double>& cell, double otherwise) {
    return cell && cell->value > 0.0 ? cell->value : otherwise;
}

int run_index(const Job& job, const RunId& id) {
    const auto found = std::ranges::find(job.runs, id, &Run::id);
    return found == job.runs.end() ? -1 : static_cast<int>(found - job.runs.begin());
}

// Everything of a fix but its station.
SiteFix described(const PlacingInputs& inputs, const Fix& fix, Findings& findings) {
    SiteFix placed;
    placed.id = fix.id;
    placed.run = run_index(inputs.job, fix.run);
    placed.method = fix.method;
    placed.source = fix.source;
    std::optional<PlanPoint> place;
    if (fix.position) place = local_from_typed(inputs.frame, *fix.position, findings);
    if (place) {
        placed.h_sd_stated_m = positive_or(fix.h_accuracy_m, default_h_sd_m);
        const double variance = placed.h_sd_stated_m * placed.h_sd_stated_m;
        placed.position = PlanFix{*place, {variance, 0.0, variance}};
        placed.receiver = inputs.receivers.of(fix.receiver);
    }
    if (fix.heading_rad && inputs.frame.grid_from_job_rad) {
        placed.heading = axial(fix.heading_rad->value + *inputs.frame.grid_from_job_rad);
        placed.heading_sd_rad = positive_or(fix.heading_accuracy_rad, default_heading_sd_rad);
    }
    if (fix.depth_m) placed.depth_m = Estimate{fix.depth_m->value, depth_sd_m(fix)};
    const std::optional<double> given_sd_m =
        fix.ground_accuracy_m ? std::optional(fix.ground_accuracy_m->value) : std::nullopt;
    placed.ground_m =
        ground_at(inputs.ground, fix.id, fix.ground_m, given_sd_m, place, findings).elevation_m;
    return placed;
}

struct Placed {
    FixPlacing placing = FixPlacing::unplaced;
    std::optional<double> x_m;
    std::string why;
    std::string what_to_do;
};

// Times are counted through the run's clips.
std::string why_no_counter_then(const ReelReading& reel) {
    if (reel.track != nullptr &&
        std::ranges::any_of(reel.track->clip_starts_s, [](const auto& s) { return !s; })) {
        return "the counter was not read at that time, or a clip before it is missing, so that "
               "times cannot be counted through the run's clips";
    }
    return "the counter was not read at that time of the footage";
}

Placed by_typed_place(const Fix& fix, const Run& run, const ReelReading& reel) {
    if (fix.counter) {
        return {
            FixPlacing::by_counter, x_of_counter(reel, fix.counter->value),
            "the counter's unit is not known, or it was set anew on the way and showed this twice",
            "Fill in counter_unit of the run, or give the time in the footage instead."};
    }
    if (fix.video_time_s) {
        return {FixPlacing::by_video_time, x_of_video_time(reel, fix.video_time_s->value),
                why_no_counter_then(reel), "Give the counter instead of the time."};
    }
    if (!fix.clock_s) return {};
    if (!run.footage_start_s) {
        return {FixPlacing::by_clock, std::nullopt, "the clock of the footage is not known",
                "Fill in footage_start of the run, or give the counter."};
    }
    return {FixPlacing::by_clock,
            x_of_video_time(reel, fix.clock_s->value - run.footage_start_s->value),
            why_no_counter_then(reel), "Give the counter, or check footage_start."};
}

// How well the station is known, and where it would be if the clocks differed.
void describe_time(SiteFix& placed, const PlacingInputs& inputs, const Fix& fix, const Run& run,
                   const ReelReading& reel) {
    if (fix.counter) return;
    if (fix.video_time_s) {
        placed.station_sd_m = station_sd_m(reel, fix.video_time_s->value, video_time_doubt_s);
        return;
    }
    if (!fix.clock_s || !run.footage_start_s) return;
    const double time_s = fix.clock_s->value - run.footage_start_s->value;
    placed.station_sd_m = station_sd_m(reel, time_s, clock_doubt_s);
    placed.clock_course = clock_course(reel, time_s, inputs.job.settings.sonde_setback_m);
    if (std::ranges::none_of(placed.clock_course.x_m,
                             [](const auto& x_m) { return x_m.has_value(); })) {
        placed.clock_course.x_m.clear();
    }
}

bool may_be_placed_by_other_clock(const SiteFix& placed) {
    return !placed.clock_course.x_m.empty();
}

void leave_unplaced(SiteFix& placed, const Fix& fix, const std::string& why,
                    const std::string& todo, Findings& findings) {
    placed.placing = FixPlacing::unplaced;
    placed.why_unplaced = why;
    findings.push_back({Severity::caution, at_fix(fix),
                        fmt::format("Fix {} has no place along a run: {}.", fix.id, why), todo,
                        Consequence::input_rejected});
}

void place(SiteFix& placed, const PlacingInputs& inputs, const Fix& fix, Findings& findings) {
    if (placed.run < 0) {
        leave_unplaced(placed, fix, "its run is not in the runs table",
                       "Write the run's name as in the runs table.", findings);
        return;
    }
    const auto index = static_cast<std::size_t>(placed.run);
    const ReelReading& reel = inputs.reels[index];
    const Placed found = by_typed_place(fix, inputs.job.runs[index], reel);
    if (found.placing == FixPlacing::unplaced) return;  // a stand-still may place it
    describe_time(placed, inputs, fix, inputs.job.runs[index], reel);
    if (!found.x_m && may_be_placed_by_other_clock(placed)) {
        placed.why_unplaced = found.why;
        return;
    }
    if (!found.x_m) {
        leave_unplaced(placed, fix, found.why, found.what_to_do, findings);
        return;
    }
    placed.x_m = *found.x_m - inputs.job.settings.sonde_setback_m;
    if (const auto outside = outside_run(reel, placed.x_m, inputs.unit)) {
        leave_unplaced(placed, fix, "it lies " + outside->how_far, outside->what_to_do, findings);
        return;
    }
    placed.placing = found.placing;
}

// Fixes of a run that say nothing of where along it: as many of the longest stand-stills, in order,
// but only when those stand out from the rest.
void place_by_stand_stills(const PlacingInputs& inputs, std::size_t run,
                           std::vector<SiteFix>& placed, Findings& findings) {
    std::vector<std::size_t> open;
    bool others = false;
    for (std::size_t i = 0; i < placed.size(); ++i) {
        if (placed[i].run != static_cast<int>(run)) continue;
        const bool typed = inputs.job.fixes[i].counter || inputs.job.fixes[i].video_time_s ||
                           inputs.job.fixes[i].clock_s;
        if (typed) others = true;
        if (!typed) open.push_back(i);
    }
    if (open.empty()) return;
    std::vector<StandStill> stills = stand_stills(inputs.reels[run]);
    std::vector<double> lengths(stills.size());
    std::ranges::transform(stills, lengths.begin(), &StandStill::seconds);
    std::ranges::sort(lengths, std::greater{});
    const bool enough = !others && lengths.size() >= open.size();
    const bool stand_out = enough && (lengths.size() == open.size() ||
                                      lengths[open.size() - 1] > 1.5 * lengths[open.size()]);
    if (!stand_out) {
        for (const std::size_t i : open) {
            leave_unplaced(placed[i], inputs.job.fixes[i],
                           "it gives neither counter nor time, and the holds in the footage do not "
                           "tell which is which",
                           "Give the counter that was shown while holding.", findings);
        }
        return;
    }
    std::erase_if(
        stills, [&](const StandStill& still) { return still.seconds < lengths[open.size() - 1]; });
    for (std::size_t k = 0; k < open.size(); ++k) {
        SiteFix& fix = placed[open[k]];
        fix.placing = FixPlacing::by_hold;
        fix.x_m = stills[k].x_m - inputs.job.settings.sonde_setback_m;
    }
}

// The counter was read at the moment of each of these fixes, were the receiver's clock so far
// ahead.
bool all_within_footage(const PlacingInputs& inputs, const std::vector<std::size_t>& fixes,
                        const std::vector<SiteFix>& placed, double ahead_s) {
    return std::ranges::all_of(fixes, [&](std::size_t i) {
        const auto run = static_cast<std::size_t>(placed[i].run);
        const double start_s = inputs.job.runs[run].footage_start_s->value;
        const double time_s = inputs.job.fixes[i].clock_s->value - start_s - ahead_s;
        return x_of_video_time(inputs.reels[run], time_s).has_value();
    });
}

// Clocks that differ by whole hours keep daylight-saving time or the time of another zone.
void tell_whole_hours(const PlacingInputs& inputs, const std::vector<SiteFix>& placed,
                      Findings& findings) {
    constexpr std::size_t fewest = 2;
    constexpr int most_hours = 14;  // between the zones in use
    constexpr double hour_s = 3600.0;
    std::vector<std::size_t> outside;
    for (std::size_t i = 0; i < placed.size(); ++i) {
        const Fix& fix = inputs.job.fixes[i];
        if (placed[i].placing != FixPlacing::unplaced || placed[i].run < 0) continue;
        if (fix.counter || fix.video_time_s || !fix.clock_s) continue;
        const Run& run = inputs.job.runs[static_cast<std::size_t>(placed[i].run)];
        if (run.footage_start_s && placed[i].clock_course.x_m.empty()) outside.push_back(i);
    }
    if (outside.size() < fewest) return;
    for (int hours = 1; hours <= most_hours; ++hours) {
        for (const double sign : {1.0, -1.0}) {
            if (!all_within_footage(inputs, outside, placed, sign * hours * hour_s)) continue;
            findings.push_back(
                {Severity::caution,
                 {},
                 fmt::format("The {} fixes given by a clock outside their footage would all lie "
                             "within it if the clock of the fixes were {} h {} that of the "
                             "footage, as with daylight-saving time or another time zone. Nothing "
                             "was moved.",
                             outside.size(), hours, sign > 0.0 ? "ahead of" : "behind"),
                 "Write the clocks of the fixes with their zone, like 2026-05-14T10:32:05-05:00, "
                 "and "
                 "the camera's zone as utc offset in the job table; or fill in footage_start of "
                 "each run by the receiver's clock.",
                 Consequence::none});
            return;
        }
    }
}

}  // namespace

std::vector<SiteFix> place_fixes(const PlacingInputs& inputs, Findings& findings) {
    std::vector<SiteFix> all;
    for (const Fix& fix : inputs.job.fixes) {
        SiteFix placed = described(inputs, fix, findings);
        place(placed, inputs, fix, findings);
        all.push_back(std::move(placed));
    }
    for (std::size_t run = 0; run < inputs.job.runs.size(); ++run) {
        place_by_stand_stills(inputs, run, all, findings);
    }
    tell_whole_hours(inputs, all, findings);
    return all;
}

}  // namespace sondeline
