#include "deliverables/layers.hpp"

namespace sondeline {

namespace {

std::string_view si_unit(RecordItem item) {
    switch (item) {
        case RecordItem::run_length:
        case RecordItem::total_trench_length:
        case RecordItem::depth: return "m";
        case RecordItem::tank_capacity: return "m3";
        case RecordItem::slope: return "m/m";
        case RecordItem::number_of_laterals: return "count";
        case RecordItem::install_year: return "year";
    }
    return "";
}

}  // namespace

LayerTable records_check_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{
        "records_check",
        "What the paper claims against what was measured",
        LayerGeometry::none,
        {{"document", text, "The paper"},
         {"dated", text, "Its date, as noted"},
         {"item", text, "What it claims"},
         {"of", text, "Run, kind or structure; empty: the whole system"},
         {"as_written", text, "The claim as written"},
         {"claimed", real, "The claim in unit"},
         {"measured", real, "Measured, in unit"},
         {"measured_lo95", real, "Lower 95 % bound"},
         {"measured_hi95", real, "Upper 95 % bound"},
         {"difference", real, "Measured minus claimed"},
         {"unit", text, "Unit of the figures of this row"},
         {"verdict", text,
          "Agrees, agrees as stated (not measured), short, long, not found or cannot tell"},
         {"words", text, "The same in a sentence"}},
        {}};
    for (const RecordCheck& check : as_built.appraisal.records) {
        std::optional<double> value, lo, hi;
        if (check.measured) {
            value = check.measured->value;
            lo = check.measured->lo95;
            hi = check.measured->hi95;
        }
        LayerRow row;
        row.cells = {text_cell(check.claim.document),
                     text_cell(check.claim.dated),
                     text_cell(word(check.claim.item)),
                     text_cell(check.claim.of),
                     text_cell(check.claim.as_written),
                     real_cell(check.claim.value),
                     real_cell(value),
                     real_cell(lo),
                     real_cell(hi),
                     real_cell(check.difference),
                     text_cell(si_unit(check.claim.item)),
                     text_cell(word(check.verdict)),
                     text_cell(check.words)};
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
