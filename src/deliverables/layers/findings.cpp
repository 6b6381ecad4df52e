#include "deliverables/layers.hpp"

namespace sondeline {

LayerTable findings_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"findings",
                     "Everything the office must know, worst first",
                     LayerGeometry::none,
                     {{"severity", text, "Problem, caution or info"},
                      {"file", text, "Table or clip"},
                      {"row", integer, "Row of the table; the header is row 1"},
                      {"column", text, "Column of the table"},
                      {"run_id", text, "Run"},
                      {"structure_id", text, "Structure"},
                      {"station_m", real, "Distance from the start of the run, m"},
                      {"time_s", real, "Seconds into the clip"},
                      {"what", text, "What was found"},
                      {"what_to_do", text, "What to do about it"}},
                     {}};
    for (const Finding& finding : as_built.findings) {
        const Where& where = finding.where;
        LayerRow row;
        row.cells = {text_cell(word(finding.severity)),
                     text_cell(where.file),
                     where.row > 0 ? integer_cell(where.row) : CellValue{},
                     text_cell(where.column),
                     text_cell(where.run),
                     text_cell(where.structure),
                     real_cell(where.station_m),
                     real_cell(where.time_s, 2),
                     text_cell(finding.what),
                     text_cell(finding.what_to_do)};
        table.rows.push_back(std::move(row));
    }
    return table;
}

std::vector<LayerTable> all_layers(const AsBuilt& as_built) {
    return {
        pipe_runs_layer(as_built),    structures_layer(as_built),    fixes_layer(as_built),
        stations_layer(as_built),     bellies_layer(as_built),       observations_layer(as_built),
        stretches_layer(as_built),    records_check_layer(as_built), quantities_layer(as_built),
        replacements_layer(as_built), load_test_layer(as_built),     drops_layer(as_built),
        footage_layer(as_built),      findings_layer(as_built)};
}

}  // namespace sondeline
