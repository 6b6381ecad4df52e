#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

std::vector<Column> columns() {
    using enum ColumnType;
    return {
        {"run_id", text, "Name of the run in the job's tables"},
        {"kind", text, "Building sewer, effluent line, lateral, trench or other"},
        {"from_id", text, "Structure the head was pushed from"},
        {"to_id", text, "Structure at the far end; empty: none there"},
        {"status", text, "Open, capped, broken or not entered"},
        {"reached_end", text,
         "Whether the push went to the far end; no: the figures are of the part pushed; not told: "
         "nothing says that the pipe ends where its footage does"},
        {"placement", text, "How the line is held on the map"},
        {"diameter_mm", real, "Inside or nominal diameter, mm"},
        {"material", text, "Pipe material as noted"},
        {"counter_length_m", real, "Length by the counter alone, m"},
        {"length_m", real, "Length along the pipe, adjusted, m"},
        {"length_sd_m", real, "One standard deviation of length_m, m"},
        {"length_lo95_m", real, "Lower 95 % bound of length_m, m"},
        {"length_hi95_m", real, "Upper 95 % bound of length_m, m"},
        {"length_job", real, "length_m in the job's unit, rounded to what its bounds deserve"},
        {"job_unit", text, "Unit of length_job"},
        {"length_withheld", text, "Why no length is given, and what would settle it"},
        {"reel", text, "Reel the run was pushed with; empty: the day's only one"},
        {"reel_scale", real, "True length of one counted length in this run, by the adjustment"},
        {"reel_scale_sd", real, "One standard deviation of reel_scale"},
        {"reel_day_scale", real,
         "The same of the reel itself, over all its runs of the day; empty: the data do not tell"},
        {"reel_day_scale_sd", real, "One standard deviation of reel_day_scale"},
        {"plan_length_m", real, "Length in plan, on the ground, m"},
        {"start_invert_m", real, "Invert at the start, m, by z_reference"},
        {"start_invert_lo95_m", real, "Lower 95 % bound of start_invert_m, m"},
        {"start_invert_hi95_m", real, "Upper 95 % bound of start_invert_m, m"},
        {"end_invert_m", real, "Invert at the end, m, by z_reference"},
        {"end_invert_lo95_m", real, "Lower 95 % bound of end_invert_m, m"},
        {"end_invert_hi95_m", real, "Upper 95 % bound of end_invert_m, m"},
        {"fall_m", real, "Fall in the direction of flow, m; negative: against it"},
        {"fall_sd_m", real, "One standard deviation of fall_m, m"},
        {"slope_pct", real, "Mean slope in the direction of flow, percent"},
        {"slope_sd_pct", real, "One standard deviation of slope_pct, percent"},
        {"slope_withheld", text, "Why no slope is given, and what would settle it"},
        {"min_depth_m", real, "Least depth from ground to invert, m"},
        {"min_depth_lo95_m", real, "Lower 95 % bound of min_depth_m, m"},
        {"min_depth_hi95_m", real, "Upper 95 % bound of min_depth_m, m"},
        {"max_depth_m", real, "Greatest depth from ground to invert, m"},
        {"max_depth_lo95_m", real, "Lower 95 % bound of max_depth_m, m"},
        {"max_depth_hi95_m", real, "Upper 95 % bound of max_depth_m, m"},
        {"depth_withheld", text, "Why no depth is given, and what would settle it"},
        {"belly_count", integer, "Stretches that would hold water"},
        {"smallest_belly", text, "The smallest sag these data could have shown"},
        {"smallest_sag_m", real, "Depth of the smallest sag these data could have shown, m"},
        {"smallest_sag_width_m", real, "Length of that sag, m"},
        {"smallest_water", text, "The least standing water the footage could have shown"},
        {"smallest_water_m", real,
         "Depth of standing water from which on the footage would have shown it, m; empty: nowhere "
         "is any depth sure"},
        {"smallest_water_pct", real, "Share of the run along which that holds, percent"},
        {"capacity", text, "Full-bore flow, or why none is given"},
        {"bends", text, "Bends along the line, as the fixes show them"},
        {"readings", integer, "Counter readings taken from the footage"},
        {"coverage_pct", real, "Share of the sampled frames with a sure reading, percent"},
        {"z_reference", text,
         "What z is: elevation, benchmark, below ground, assumed level "
         "ground or none"},
        {"quality", text, "What holds this line, in words"},
    };
}

// Some reasons are clauses and some whole sentences.
CellValue withheld_cell(const Withheld& why) {
    if (why.reason.empty()) return text_cell(why.what_to_do);
    return text_cell(why.reason + (why.reason.ends_with('.') ? " " : ". ") + why.what_to_do);
}

std::string_view reached_end(const AlignedRun& aligned) {
    if (aligned.stops_short) return "no";
    return aligned.run.end_told ? "yes" : "not told";
}

std::string bend_words(const AlignedRun& run, LengthUnit unit) {
    std::string words;
    for (const Bend& bend : run.bends) {
        words += fmt::format(
            "{}at {}: {:.0f}° ± {:.0f} to the {}{}{}{}", words.empty() ? "" : "; ",
            length_words(bend.station_m, unit, 1), std::abs(bend.angle_rad.value) / degree_rad,
            normal_95 * bend.angle_rad.sd / degree_rad,
            bend.angle_rad.value > 0.0 ? "right" : "left",
            bend.nearest_fitting.empty() ? "" : ", nearest: ", bend.nearest_fitting,
            bend.noted          ? ", where a fitting was noted"
            : bend.seen_turning ? ", where the picture turns"
                                : "");
    }
    return words;
}

// The reel's own scale, where the day's data tell it.
const ReelScale* told_reel(const Lines& lines, const std::string& name) {
    const auto reel = std::ranges::find(lines.reels, name, &ReelScale::reel);
    return reel == lines.reels.end() || !reel->told_by_data ? nullptr : &*reel;
}

std::vector<CellValue> length_cells(const AsBuilt& as_built, const AlignedRun& aligned) {
    const SiteRun& run = aligned.run;
    const ReelScale* reel = told_reel(as_built.lines, run.reel);
    std::optional<double> value, sd, lo, hi, in_job_unit;
    if (aligned.length_m) {
        value = aligned.length_m->value;
        sd = aligned.length_sd_m;
        lo = aligned.length_m->lo95;
        hi = aligned.length_m->hi95;
        const double per = metres_per(as_built.site.job_unit);
        in_job_unit = rounded_to_bounds(*value / per, (*hi - *lo) / 2.0 / per);
    }
    return {real_cell(run.counter_length_m.value),
            real_cell(value),
            real_cell(sd),
            real_cell(lo),
            real_cell(hi),
            real_cell(in_job_unit),
            in_job_unit ? text_cell(unit_symbol(as_built.site.job_unit)) : CellValue{},
            aligned.length_m ? CellValue{} : withheld_cell(aligned.length_m.withheld),
            text_cell(run.reel),
            value ? real_cell(aligned.scale.value, 6) : CellValue{},
            value ? real_cell(aligned.scale.sd, 6) : CellValue{},
            real_cell(reel ? std::optional(reel->scale.value) : std::nullopt, 6),
            real_cell(reel ? std::optional(reel->scale.sd) : std::nullopt, 6)};
}

std::vector<CellValue> grade_cells(const GradedRun& graded) {
    std::optional<double> fall, fall_sd, slope, slope_sd;
    const DetectionLimit* limit = least_sag(graded);
    if (graded.fall_m) {
        fall = graded.fall_m->value;
        fall_sd = graded.fall_m->sd;
    }
    if (graded.slope) {
        slope = 100.0 * graded.slope->value;
        slope_sd = 100.0 * graded.slope->sd;
    }
    return {part_cell(graded.start_invert_m.value, &Bounded::value),
            part_cell(graded.start_invert_m.value, &Bounded::lo95),
            part_cell(graded.start_invert_m.value, &Bounded::hi95),
            part_cell(graded.end_invert_m.value, &Bounded::value),
            part_cell(graded.end_invert_m.value, &Bounded::lo95),
            part_cell(graded.end_invert_m.value, &Bounded::hi95),
            real_cell(fall),
            real_cell(fall_sd),
            real_cell(slope, 4),
            real_cell(slope_sd, 4),
            graded.slope ? CellValue{} : withheld_cell(graded.slope.withheld),
            part_cell(graded.min_cover_m.value, &Bounded::value),
            part_cell(graded.min_cover_m.value, &Bounded::lo95),
            part_cell(graded.min_cover_m.value, &Bounded::hi95),
            part_cell(graded.max_cover_m.value, &Bounded::value),
            part_cell(graded.max_cover_m.value, &Bounded::lo95),
            part_cell(graded.max_cover_m.value, &Bounded::hi95),
            graded.min_cover_m ? CellValue{} : withheld_cell(graded.min_cover_m.withheld),
            integer_cell(static_cast<std::int64_t>(graded.bellies.size())),
            text_cell(graded.limit_words),
            real_cell(limit == nullptr ? std::nullopt : limit->sag_m),
            limit == nullptr ? CellValue{} : real_cell(limit->width_m),
            text_cell(graded.footage_limit.words),
            real_cell(graded.footage_limit.water_m),
            real_cell(100.0 * graded.footage_limit.sure, 1),
            text_cell(graded.capacity_words)};
}

std::vector<CellValue> reading_cells(const AsBuilt& as_built, const RunId& id) {
    const auto track = as_built.run_tracks.find(id);
    if (track == as_built.run_tracks.end()) return {integer_cell(0), CellValue{}};
    std::int64_t readings = 0;
    for (const PushSample& sample : track->second.samples) {
        readings += sample.sample.counter.has_value() ? 1 : 0;
    }
    return {integer_cell(readings), real_cell(100.0 * track->second.coverage, 1)};
}

void append(std::vector<CellValue>& cells, const std::vector<CellValue>& more) {
    cells.insert(cells.end(), more.begin(), more.end());
}

}  // namespace

LayerTable pipe_runs_layer(const AsBuilt& as_built) {
    LayerTable table{"pipe_runs",
                     "Every run that was pushed: z is the invert, m the distance from "
                     "its start along the pipe, both in metres",
                     LayerGeometry::line_zm,
                     columns(),
                     {}};
    for (std::size_t i = 0; i < as_built.lines.runs.size(); ++i) {
        const AlignedRun& aligned = as_built.lines.runs[i];
        const GradedRun& graded = as_built.profiles.runs[i];
        const SiteRun& run = aligned.run;
        LayerRow row;
        const auto diameter_m = run.diameter_m;
        row.cells = {text_cell(run.id.text),
                     text_cell(word(run.kind)),
                     text_cell(structure_id(as_built.site, run.from)),
                     text_cell(structure_id(as_built.site, run.to)),
                     text_cell(word(run.status)),
                     text_cell(reached_end(aligned)),
                     text_cell(word(aligned.placement)),
                     real_cell(diameter_m ? std::optional(*diameter_m * 1000.0) : std::nullopt, 1),
                     text_cell(run.material)};
        append(row.cells, length_cells(as_built, aligned));
        row.cells.push_back(aligned.points.empty() ? CellValue{}
                                                   : real_cell(aligned.plan_length_m));
        append(row.cells, grade_cells(graded));
        row.cells.push_back(text_cell(bend_words(aligned, as_built.site.job_unit)));
        append(row.cells, reading_cells(as_built, run.id));
        row.cells.push_back(text_cell(word(z_reference_of(graded))));
        row.cells.push_back(
            text_cell(aligned.points.empty() ? aligned.why_not_placed.reason : aligned.quality));
        row.geometry = whole_line(as_built, i);
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
