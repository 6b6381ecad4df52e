#include <array>

#include <fmt/ranges.h>

#include "deliverables/layers.hpp"

namespace sondeline {

namespace {

// Value and bounds, empty where there is none.
std::array<CellValue, 3> cells_of(const std::optional<Bounded>& figure, int decimals) {
    if (!figure) return {};
    return {real_cell(figure->value, decimals), real_cell(figure->lo95, decimals),
            real_cell(figure->hi95, decimals)};
}

std::optional<Bounded> bounded(const std::optional<Estimate>& estimate) {
    if (!estimate) return std::nullopt;
    return Bounded{estimate->value, estimate->value - normal_95 * estimate->sd,
                   estimate->value + normal_95 * estimate->sd};
}

std::vector<CellValue> joined(std::vector<CellValue> cells,
                              std::initializer_list<std::array<CellValue, 3>> figures) {
    for (const auto& figure : figures) cells.insert(cells.end(), figure.begin(), figure.end());
    return cells;
}

LayerRow whole_test(const LoadTestBalance& balance) {
    std::vector<CellValue> cells = joined(
        {CellValue{}, text_cell(fmt::format("{}", fmt::join(balance.words, " ")))},
        {cells_of(bounded(balance.hose_flow_l_s), 3), cells_of(bounded(balance.volume_in_l), 1),
         cells_of(bounded(balance.design_day_pct), 1), cells_of(std::nullopt, 1)});
    cells.insert(cells.begin() + 8, real_cell(balance.design_flow_l_per_day, 1));
    return {std::move(cells), {}};
}

}  // namespace

LayerTable load_test_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{"load_test",
                     "What the water put in showed, and what it does not prove",
                     LayerGeometry::none,
                     {{"port", text, "Port of the box; empty: the test as a whole"},
                      {"words", text, "What was seen, in plain words"},
                      {"hose_l_s", real, "Flow of the hose by bucket and watch, litres a second"},
                      {"hose_lo95_l_s", real, "Its lower 95 % bound"},
                      {"hose_hi95_l_s", real, "Its upper 95 % bound"},
                      {"volume_in_l", real, "Water put in, litres"},
                      {"volume_in_lo95_l", real, "Its lower 95 % bound"},
                      {"volume_in_hi95_l", real, "Its upper 95 % bound"},
                      {"design_l_per_day", real, "Design flow of the job table, litres a day"},
                      {"of_design_day_pct", real, "Water put in, per cent of a day of design flow"},
                      {"of_design_day_lo95_pct", real, "Its lower 95 % bound"},
                      {"of_design_day_hi95_pct", real, "Its upper 95 % bound"},
                      {"share_pct", real,
                       "Share of the water this port took at the last reading, per cent; empty: "
                       "the levels do not tell"},
                      {"share_lo95_pct", real, "Its lower 95 % bound"},
                      {"share_hi95_pct", real, "Its upper 95 % bound"}},
                     {}};
    const auto& balance = as_built.appraisal.load_test;
    if (!balance) return table;
    table.rows.push_back(whole_test(*balance));
    for (const PortShare& port : balance->ports) {
        std::vector<CellValue> cells{text_cell(port.port), text_cell(port.words)};
        cells.resize(table.columns.size() - 3);
        table.rows.push_back({joined(std::move(cells), {cells_of(port.share_pct, 1)}), {}});
    }
    return table;
}

}  // namespace sondeline
