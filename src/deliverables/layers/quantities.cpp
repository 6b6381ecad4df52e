#include "deliverables/layers.hpp"

namespace sondeline {

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
         {"length_job", real, "length_m in the job's unit, rounded to what its bounds deserve"},
         {"job_unit", text, "Unit of length_job"},
         {"depth_band", text, "Ground to invert"},
         {"trench_volume_m3", real, "Digging down to the invert, vertical sides, m3"},
         {"trench_width_m", real, "Width assumed for that volume, m"},
         {"condition", text, "The worst that was noted or measured on it"}},
        {}};
    const double per = metres_per(as_built.site.job_unit);
    for (const Quantity& quantity : as_built.appraisal.quantities) {
        const Bounded& length = quantity.length_m;
        const double half_width = (length.hi95 - length.lo95) / 2.0;
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
            real_cell(rounded_to_bounds(length.value / per, half_width / per)),
            text_cell(unit_symbol(as_built.site.job_unit)),
            text_cell(quantity.depth_band),
            real_cell(quantity.trench_volume_m3, 2),
            quantity.trench_volume_m3 ? real_cell(quantity.trench_width_m) : CellValue{},
            text_cell(quantity.condition)};
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
