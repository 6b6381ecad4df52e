#include "deliverables/layers.hpp"

namespace sondeline {

LayerTable load_test_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"load_test",
                     "What the water put in showed, and what it does not prove",
                     LayerGeometry::none,
                     {{"port", text, "Port of the box; empty: the test as a whole"},
                      {"words", text, "What was seen, in a sentence"}},
                     {}};
    const auto& balance = as_built.appraisal.load_test;
    if (!balance) return table;
    for (const std::string& words : balance->words) {
        table.rows.push_back({{CellValue{}, text_cell(words)}, {}});
    }
    for (const PortShare& port : balance->ports) {
        table.rows.push_back({{text_cell(port.port), text_cell(port.words)}, {}});
    }
    return table;
}

}  // namespace sondeline
