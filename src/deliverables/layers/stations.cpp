#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

// Every 1 m, or every 5 ft in a job that works in feet, and the end.
std::vector<double> marks(const AlignedRun& run, LengthUnit unit) {
    const double step_m = unit == LengthUnit::metre ? 1.0 : 5.0 * metres_per(unit);
    const double end_m = run.points.back().station_m;
    std::vector<double> stations;
    for (int i = 0; i * step_m < end_m - 1e-6; ++i) stations.push_back(i * step_m);
    stations.push_back(end_m);
    return stations;
}

std::optional<double> slope_pct_at(const GradedRun& graded, double station_m) {
    for (const Stretch& stretch : graded.stretches) {
        if (station_m <= stretch.to_m + 1e-9 && stretch.slope) {
            return 100.0 * stretch.slope->value;
        }
    }
    return std::nullopt;
}

LayerRow station_row(const AsBuilt& as_built, std::size_t run, double station_m) {
    const GradedRun& graded = as_built.profiles.runs[run];
    const auto line = point_at(as_built.lines.runs[run], station_m);
    const auto profile = profile_at(graded, station_m);
    const bool held = as_built.lines.runs[run].placement != Placement::inferred;
    LayerRow row;
    row.cells = {text_cell(graded.id.text), real_cell(station_m),
                 real_cell(station_m / metres_per(as_built.site.job_unit), 2)};
    if (profile) {
        const auto& ground = profile->ground_m;
        row.cells.insert(row.cells.end(),
                         {part_cell(profile->cover_m, &Bounded::value),
                          part_cell(profile->cover_m, &Bounded::lo95),
                          part_cell(profile->cover_m, &Bounded::hi95),
                          real_cell(profile->z_m.value), real_cell(profile->z_sd_m),
                          real_cell(ground ? std::optional(ground->value) : std::nullopt)});
    } else {
        row.cells.resize(row.cells.size() + 6);
    }
    row.cells.push_back(real_cell(slope_pct_at(graded, station_m), 3));
    row.cells.push_back(line && held ? real_cell(worst_plan_sd_m(line->cov)) : CellValue{});
    row.cells.push_back(text_cell(word(z_reference_of(graded))));
    row.geometry = vertex_at(as_built, run, station_m);
    return row;
}

}  // namespace

LayerTable stations_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"stations",
                     "A mark every 1 m or 5 ft along each run; z is the invert, m the station",
                     LayerGeometry::point_zm,
                     {{"run_id", text, "Run"},
                      {"station_m", real, "Distance from the start along the pipe, m"},
                      {"station_job", real, "The same in the job's unit"},
                      {"depth_m", real, "Ground down to invert, m"},
                      {"depth_lo95_m", real, "Lower 95 % bound of depth_m, m"},
                      {"depth_hi95_m", real, "Upper 95 % bound of depth_m, m"},
                      {"invert_m", real, "Invert, m, by z_reference"},
                      {"invert_sd_m", real, "One standard deviation of invert_m, m"},
                      {"ground_m", real, "Elevation of the ground, m"},
                      {"slope_pct", real, "Slope of the stretch in the direction of flow, percent"},
                      {"position_sd_m", real, "One standard deviation in plan, worst direction, m"},
                      {"z_reference", text, "What z is"}},
                     {}};
    for (std::size_t run = 0; run < as_built.lines.runs.size(); ++run) {
        const AlignedRun& aligned = as_built.lines.runs[run];
        if (aligned.points.size() < 2) continue;
        for (const double station_m : marks(aligned, as_built.site.job_unit)) {
            table.rows.push_back(station_row(as_built, run, station_m));
        }
    }
    return table;
}

}  // namespace sondeline
