#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

LayerTable stretches_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"stretches",
                     "Runs cut at grade breaks; z is the invert, m the station",
                     LayerGeometry::line_zm,
                     {{"run_id", text, "Run"},
                      {"from_m", real, "Station of the start, m"},
                      {"to_m", real, "Station of the end, m"},
                      {"length_m", real, "Length along the pipe, m"},
                      {"slope_pct", real, "Slope in the direction of flow, percent"},
                      {"slope_sd_pct", real, "One standard deviation of slope_pct, percent"},
                      {"slope_withheld", text, "Why no slope is given"},
                      {"minimum_slope_pct", real, "Least slope asked of this kind and diameter"},
                      {"minimum_source", text, "Where that is asked; the local code wins"},
                      {"verdict", text, "Meets, below, cannot tell or not asked"}},
                     {}};
    for (std::size_t run = 0; run < as_built.profiles.runs.size(); ++run) {
        for (const Stretch& stretch : as_built.profiles.runs[run].stretches) {
            std::optional<double> slope_pct, sd_pct, minimum_pct;
            if (stretch.slope) {
                slope_pct = 100.0 * stretch.slope->value;
                sd_pct = 100.0 * stretch.slope->sd;
            }
            if (stretch.minimum_slope) minimum_pct = 100.0 * *stretch.minimum_slope;
            LayerRow row;
            row.cells = {text_cell(as_built.profiles.runs[run].id.text),
                         real_cell(stretch.from_m),
                         real_cell(stretch.to_m),
                         real_cell(stretch.to_m - stretch.from_m),
                         real_cell(slope_pct, 3),
                         real_cell(sd_pct, 3),
                         stretch.slope ? CellValue{} : text_cell(stretch.slope.withheld.reason),
                         real_cell(minimum_pct, 3),
                         text_cell(stretch.minimum_source),
                         text_cell(word(stretch.verdict))};
            row.geometry = line_between(as_built, run, stretch.from_m, stretch.to_m);
            table.rows.push_back(std::move(row));
        }
    }
    return table;
}

}  // namespace sondeline
