#include <algorithm>

#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

double half_width_of(const Lines& lines, const RunId& run) {
    for (const AlignedRun& aligned : lines.runs) {
        if (aligned.run.id != run || !aligned.length_m) continue;
        return (aligned.length_m->hi95 - aligned.length_m->lo95) / 2.0;
    }
    return 0.0;
}

}  // namespace

LayerTable quantities_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{
        "quantities",
        "A row for each priced stretch; the lengths of a run's rows add up to its length",
        LayerGeometry::none,
        {{"run_id", text, "Run"},
         {"from_id", text, "Structure or station the stretch begins at"},
         {"to_id", text, "Structure or station it ends at"},
         {"kind", text, "Kind of run"},
         {"status", text, "Open, capped, broken or not entered"},
         {"diameter_mm", real, "Diameter, mm"},
         {"material", text, "Material as noted"},
         {"from_m", real, "Station of the start, m"},
         {"to_m", real, "Station of the end, m"},
         {"length_m", real, "Length along the pipe, m"},
         {"length_lo95_m", real, "Lower 95 % bound, m"},
         {"length_hi95_m", real, "Upper 95 % bound, m"},
         {"length_job", real,
          "length_m in the job's unit, cut where the run's rounded stations lie, so that the rows "
          "add "
          "up to the run's length_job"},
         {"job_unit", text, "Unit of length_job"},
         {"depth_m", real, "Ground to invert, mean over the stretch, m"},
         {"depth_lo95_m", real, "Lower 95 % bound of depth_m, m"},
         {"depth_hi95_m", real, "Upper 95 % bound of depth_m, m"},
         {"depth_band", text, "Band of that depth, or not measured"},
         {"other_bands", text, "Bands that the bounds of the depth reach into; empty: none"},
         {"depth_band_source", text,
          "Where the limits of the bands come from; the local rule wins"},
         {"trench_volume_m3", real, "Digging down to the invert, m3"},
         {"trench_volume_lo95_m3", real, "The least length dug to the least depth, m3"},
         {"trench_volume_hi95_m3", real, "The greatest length dug to the greatest depth, m3"},
         {"trench_width_m", real, "Width at the bottom assumed for that volume, m"},
         {"side_slope", real, "Side slope assumed, horizontal per vertical; 0: vertical"},
         {"condition", text, "The worst that was noted or measured on it"}},
        {}};
    const double per = metres_per(as_built.site.job_unit);
    for (const Quantity& quantity : as_built.appraisal.quantities) {
        const Bounded& length = quantity.length_m;
        const double half_width = half_width_of(as_built.lines, quantity.run);
        const auto job_station = [&](double station_m) {
            return rounded_to_bounds(station_m / per, half_width / per);
        };
        LayerRow row;
        row.cells = {
            text_cell(quantity.run.text),
            text_cell(quantity.from_id),
            text_cell(quantity.to_id),
            text_cell(word(quantity.kind)),
            text_cell(word(quantity.status)),
            quantity.diameter_m ? real_cell(*quantity.diameter_m * 1000.0, 1) : CellValue{},
            text_cell(quantity.material),
            real_cell(quantity.from_station_m),
            real_cell(quantity.to_station_m),
            real_cell(length.value),
            real_cell(length.lo95),
            real_cell(length.hi95),
            real_cell(job_station(quantity.to_station_m) - job_station(quantity.from_station_m)),
            text_cell(unit_symbol(as_built.site.job_unit)),
            part_cell(quantity.depth_m, &Bounded::value, 3),
            part_cell(quantity.depth_m, &Bounded::lo95, 3),
            part_cell(quantity.depth_m, &Bounded::hi95, 3),
            text_cell(quantity.depth_band),
            text_cell(quantity.other_bands),
            text_cell(as_built.appraisal.depth_band_source),
            part_cell(quantity.trench_volume_m3, &Bounded::value, 2),
            part_cell(quantity.trench_volume_m3, &Bounded::lo95, 2),
            part_cell(quantity.trench_volume_m3, &Bounded::hi95, 2),
            quantity.trench_volume_m3 ? real_cell(quantity.trench_width_m) : CellValue{},
            quantity.trench_volume_m3 ? real_cell(quantity.side_slope) : CellValue{},
            text_cell(quantity.condition)};
        table.rows.push_back(std::move(row));
    }
    return table;
}

LayerTable replacements_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{
        "replacements",
        "Stretches with a defect that was noted or measured, from station to station, to price "
        "replacing them; whether to do so is for the licensed designer and the health department",
        LayerGeometry::line_zm,
        {{"run_id", text, "Run"},
         {"from_m", real, "Station of the start, m"},
         {"to_m", real, "Station of the end, m"},
         {"length_m", real,
          "Length along the pipe, half a metre beyond the defect at either end, m"},
         {"length_lo95_m", real, "Lower 95 % bound, m"},
         {"length_hi95_m", real, "Upper 95 % bound, m"},
         {"length_job", real, "length_m in the job's unit, rounded to what its bounds deserve"},
         {"job_unit", text, "Unit of length_job"},
         {"diameter_mm", real, "Diameter, mm"},
         {"material", text, "Material as noted"},
         {"depth_m", real, "Greatest depth from ground to invert, m"},
         {"depth_lo95_m", real, "Lower 95 % bound of depth_m, m"},
         {"depth_hi95_m", real, "Upper 95 % bound of depth_m, m"},
         {"why", text, "What was noted or measured"}},
        {}};
    const double per = metres_per(as_built.site.job_unit);
    for (const Replacement& stretch : as_built.appraisal.replacements) {
        const Bounded& length = stretch.length_m;
        LayerRow row;
        row.cells = {
            text_cell(stretch.run.text),
            real_cell(stretch.from_station_m),
            real_cell(stretch.to_station_m),
            real_cell(length.value),
            real_cell(length.lo95),
            real_cell(length.hi95),
            real_cell(rounded_to_bounds(length.value / per, (length.hi95 - length.lo95) / 2 / per)),
            text_cell(unit_symbol(as_built.site.job_unit)),
            stretch.diameter_m ? real_cell(*stretch.diameter_m * 1000.0, 1) : CellValue{},
            text_cell(stretch.material),
            part_cell(stretch.depth_m, &Bounded::value, 3),
            part_cell(stretch.depth_m, &Bounded::lo95, 3),
            part_cell(stretch.depth_m, &Bounded::hi95, 3),
            text_cell(stretch.why)};
        const auto run = std::ranges::find_if(as_built.lines.runs, [&](const AlignedRun& aligned) {
            return aligned.run.id == stretch.run;
        });
        row.geometry =
            line_between(as_built, static_cast<std::size_t>(run - as_built.lines.runs.begin()),
                         stretch.from_station_m, stretch.to_station_m);
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
