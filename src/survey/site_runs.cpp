#include "survey/site_runs.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "survey/exchanged_pushes.hpp"
#include "survey/level_log.hpp"
#include "survey/likely_bends.hpp"
#include "survey/push_end.hpp"
#include "survey/sticks.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double start_heading_sd_rad = 5.0 * degree_rad;
constexpr double taped_sd_m = 0.005;
constexpr double still_water_sd_m = 0.010;
constexpr double unknown_sonde_height_m = 0.05;  // half of a 4 in pipe

std::optional<int> structure_index(const std::vector<SiteStructure>& structures,
                                   const std::optional<StructureId>& id) {
    if (!id) return std::nullopt;
    const auto found = std::ranges::find(structures, *id, &SiteStructure::id);
    if (found == structures.end()) return std::nullopt;
    return static_cast<int>(found - structures.begin());
}

std::optional<Estimate> ground_of(const std::vector<SiteStructure>& structures,
                                  const std::optional<int>& index) {
    return index ? structures[static_cast<std::size_t>(*index)].ground_m : std::nullopt;
}

VerticalKind kind_of(FixMethod method) {
    switch (method) {
        case FixMethod::sonde: return VerticalKind::sonde_depth;
        case FixMethod::probe: return VerticalKind::probe_depth;
        case FixMethod::open: return VerticalKind::open_depth;
    }
    return VerticalKind::sonde_depth;
}

void add_depths(const RunInputs& inputs, int run, std::vector<VerticalObservation>& rows) {
    for (std::size_t i = 0; i < inputs.fixes.size(); ++i) {
        const SiteFix& fix = inputs.fixes[i];
        if (fix.run != run) continue;
        if (const auto row = depth_row(fix, static_cast<int>(i))) rows.push_back(*row);
    }
}

void tell_tape_beyond(const RunInputs& inputs, const Run& run, const SiteRun& site,
                      Findings& findings) {
    const std::string there =
        site.to ? inputs.structures[static_cast<std::size_t>(*site.to)].id.text : "the far end";
    Where where = where_is(run.source);
    where.run = run.id.text;
    where.column = "end invert depth";
    findings.push_back(
        {Severity::caution, where,
         fmt::format("The push is said to stop before {}, so that the invert taped there says "
                     "nothing of the pipe where it stopped. It was not used.",
                     there),
         fmt::format("If the head went all the way to {}, correct what says that it did not.",
                     there)});
}

void add_taped(const RunInputs& inputs, const Run& run, const SiteRun& site,
               std::vector<VerticalObservation>& rows, Findings& findings) {
    const auto name = [&](const std::optional<int>& index) {
        return index ? "taped at " + inputs.structures[static_cast<std::size_t>(*index)].id.text
                     : std::string("taped at the end");
    };
    if (run.start_invert_depth_m) {
        rows.push_back({VerticalKind::taped_start,
                        0.0,
                        0.0,
                        {run.start_invert_depth_m->value, taped_sd_m},
                        ground_of(inputs.structures, site.from),
                        -1,
                        name(site.from)});
    }
    if (run.end_invert_depth_m && site.stops_short) {
        tell_tape_beyond(inputs, run, site, findings);
    } else if (run.end_invert_depth_m && site.counter_length_m) {
        rows.push_back({VerticalKind::taped_end,
                        *site.counter_length_m,
                        0.0,
                        {run.end_invert_depth_m->value, taped_sd_m},
                        ground_of(inputs.structures, site.to),
                        -1,
                        name(site.to)});
    }
}

void add_noted(const RunInputs& inputs, std::size_t index, SiteRun& site) {
    std::vector<double> fittings_x_m;
    for (const SiteNote& placed : inputs.notes) {
        if (placed.run != static_cast<int>(index)) continue;
        const Note& note = inputs.job.notes[static_cast<std::size_t>(placed.note)];
        if (note.category == NoteCategory::fitting) fittings_x_m.push_back(placed.x_m);
        if (note.category == NoteCategory::standing_water && placed.to_x_m) {
            site.vertical.push_back({VerticalKind::still_water,
                                     placed.x_m,
                                     *placed.to_x_m,
                                     {0.0, still_water_sd_m},
                                     std::nullopt,
                                     -1,
                                     fmt::format("standing water, row {}", note.source.row)});
        }
    }
    site.likely_bends = likely_bends(fittings_x_m, inputs.reels[index]);
}

// Standing water that the footage shows both ways, where the counter's unit is known. What was seen
// one way only is a place to look at, no observation.
void add_seen_water(const ReelReading& reel, SiteRun& site) {
    if (reel.track == nullptr || !reel.metres_per_count) return;
    constexpr double bound_in_sds = 1.96;
    const double metres = *reel.metres_per_count;
    const auto x_of = [&](double pushed) { return (pushed - reel.start) * metres; };
    for (const PushedWater& pushed : reel.track->water) {
        const WaterStretch& stretch = pushed.stretch;
        if (!stretch.pushing || !stretch.retrieving) continue;
        SeenWater water{stretch.from_bound * metres / bound_in_sds,
                        stretch.to_bound * metres / bound_in_sds,
                        stretch.from_seen,
                        stretch.to_seen,
                        stretch.deepest_unseen,
                        {}};
        for (const WaterDepth& depth : stretch.depths) {
            water.depths.push_back({x_of(depth.counter), depth.share});
        }
        VerticalObservation row{VerticalKind::still_water,
                                x_of(stretch.from),
                                x_of(stretch.to),
                                {0.0, still_water_sd_m},
                                std::nullopt,
                                -1,
                                "footage",
                                std::move(water)};
        if (static_cast<std::size_t>(pushed.clip) < reel.track->clips.size()) {
            const auto second = static_cast<long>(std::lround(stretch.deepest_s));
            row.source = fmt::format("footage {} at {}:{:02}",
                                     reel.track->clips[static_cast<std::size_t>(pushed.clip)],
                                     second / 60, second % 60);
        }
        site.vertical.push_back(std::move(row));
    }
}

Figure<std::vector<LookedAlong>> looked_along(const ReelReading& reel) {
    if (reel.track == nullptr) {
        return withheld<std::vector<LookedAlong>>("No footage of this run was read.",
                                                  "Record the push.");
    }
    if (!reel.metres_per_count || !reel.track->first) {
        return withheld<std::vector<LookedAlong>>(
            "Its counter was not read, so that nothing seen in the footage has a place.",
            "Keep the counter in the picture, with its unit.");
    }
    const auto x_of = [&](double pushed) { return (pushed - reel.start) * *reel.metres_per_count; };
    std::vector<LookedAlong> parts;
    for (const WaterReach& reach : reel.track->water_reaches) {
        parts.push_back({x_of(reach.from), x_of(reach.to), reach.sure_share, reach.left_open});
    }
    return figure(std::move(parts));
}

double sonde_height_m(const RunInputs& inputs, const Run& run, Findings& findings) {
    if (inputs.job.settings.sonde_height_m) return *inputs.job.settings.sonde_height_m;
    if (run.diameter_m) return run.diameter_m->value / 2.0;
    const bool has_depths = std::ranges::any_of(inputs.job.fixes, [&](const Fix& fix) {
        return fix.run == run.id && fix.depth_m && fix.method == FixMethod::sonde;
    });
    if (has_depths) {
        Where where = where_is(run.source);
        where.run = run.id.text;
        where.column = "diameter";
        findings.push_back({Severity::info, where,
                            "The diameter is not given; the transmitter was taken to ride 0.05 m "
                            "above the invert.",
                            "Fill in the diameter, or sonde height in the job table."});
    }
    return unknown_sonde_height_m;
}

void tell_end_untold(const RunInputs& inputs, const Run& run, const ReelReading& reel,
                     Findings& findings) {
    Where where = where_is(run.source);
    where.run = run.id.text;
    findings.push_back(
        {Severity::info, where,
         fmt::format("Nothing tells that this run ends {} from the start, where its footage does: "
                     "no structure, no cap and no note of its end.",
                     length_words(*reel.length_m, inputs.unit, 1)),
         "Note the end with its counter. If the head could not pass something there, give the run "
         "the status broken."});
}

SiteRun site_run(const RunInputs& inputs, std::size_t index, Findings& findings) {
    const Run& run = inputs.job.runs[index];
    const ReelReading& reel = inputs.reels[index];
    SiteRun site;
    site.id = run.id;
    site.kind = run.kind;
    site.status = run.status;
    site.from = structure_index(inputs.structures, run.from);
    site.to = structure_index(inputs.structures, run.to);
    if (run.diameter_m) site.diameter_m = run.diameter_m->value;
    site.material = run.material;
    site.reel = run.reel.empty() ? inputs.job.settings.reel : run.reel;
    site.counter_length_m = reel.length_m;
    if (reel.track != nullptr) site.tick_m = reel.track->tick * reel.metres_per_count.value_or(1.0);
    site.scale_by_sticks = scale_by_sticks(run, reel, inputs.unit, findings);
    site.stops_short = stopped_short(run.status) ||
                       footage_ends_short(inputs.job, run, reel, inputs.unit, findings);
    site.end_told = end_is_told(inputs.job, run, reel);
    if (!site.end_told && !site.stops_short) tell_end_untold(inputs, run, reel, findings);
    site.start_assumed = reel.start_assumed;
    site.start_doubt_m = reel.start_doubt_m;
    if (run.start_heading_rad && inputs.frame.grid_from_job_rad) {
        site.start_heading =
            directed(run.start_heading_rad->value + *inputs.frame.grid_from_job_rad);
        site.start_heading_sd_rad = start_heading_sd_rad;
    }
    add_depths(inputs, static_cast<int>(index), site.vertical);
    add_taped(inputs, run, site, site.vertical, findings);
    add_noted(inputs, index, site);
    add_seen_water(reel, site);
    site.looked_along = looked_along(reel);
    std::ranges::move(level_log_of(inputs.job, run, reel), std::back_inserter(site.vertical));
    site.sonde_height_m = sonde_height_m(inputs, run, findings);
    return site;
}

}  // namespace

std::vector<SiteRun> site_runs(const RunInputs& inputs, Findings& findings) {
    std::vector<SiteRun> runs;
    for (std::size_t i = 0; i < inputs.job.runs.size(); ++i) {
        runs.push_back(site_run(inputs, i, findings));
    }
    tell_exchanged_pushes(inputs.job, inputs.reels, inputs.unit, findings);
    return runs;
}

std::optional<VerticalObservation> depth_row(const SiteFix& fix, int index) {
    if (fix.placing == FixPlacing::unplaced || !fix.depth_m) return std::nullopt;
    return VerticalObservation{kind_of(fix.method), fix.x_m, 0.0, *fix.depth_m, fix.ground_m, index,
                               "fix " + fix.id};
}

}  // namespace sondeline
