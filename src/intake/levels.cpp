#include <array>

#include <fmt/format.h>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 5> kColumns{"setup", "point", "backsight", "foresight",
                                                   "elevation"};

std::optional<double> read_length(const RowReader& row, std::string_view column) {
    const auto length = row.height_m(column);
    return length ? std::optional(length->value) : std::nullopt;
}

// A rod is read in the unit of the job's other figures. Another one at the head of its column may
// be a slip, and nothing else tells it: heights, falls and slopes come out three times too large or
// too small, all alike.
void tell_other_unit(const Table& table, const Reading& reading, FindingLog& log) {
    if (reading.bare_unit_open) return;
    const bool metric_job = reading.bare_unit == LengthUnit::metre;
    for (const TableRow& row : table.rows) {
        for (const std::string_view column : {"backsight", "foresight"}) {
            const auto cell = row.cells.find(column);
            if (cell == row.cells.end() || cell->second.unit.empty()) continue;
            const std::optional<double> unit_m = parse_unit_in_metres(cell->second.unit);
            if (!unit_m) continue;
            const bool metric = *unit_m == 1.0 || *unit_m == 0.01 || *unit_m == 0.001;
            if (metric == metric_job) continue;
            log.caution(cell->second.source,
                        fmt::format("The rod was read in {} by the head of this column, and the "
                                    "rest of the job is in {}. If the head is wrong, all heights "
                                    "and slopes are too {} by that factor.",
                                    cell->second.unit, metric_job ? "metres" : "feet",
                                    metric ? "large" : "small"),
                        "Look at the rod, and correct the unit at the head of the column if need "
                        "be.");
            return;
        }
    }
}

}  // namespace

const TableForm kLevelsForm{"levels", kColumns};

std::vector<LevelReading> read_levels(const Table& table, Reading& reading, FindingLog& log) {
    tell_other_unit(table, reading, log);
    std::vector<LevelReading> levels;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        LevelReading level;
        level.setup = row.text("setup");
        level.point = row.text("point");
        level.backsight_m = read_length(row, "backsight");
        level.foresight_m = read_length(row, "foresight");
        level.elevation_m = read_length(row, "elevation");
        level.source = cells.source;
        const bool sighted = level.backsight_m || level.foresight_m;
        if (level.point.empty()) {
            log.problem(row.where("point"), "The row names no point, so it was not used.",
                        "Name the structure, the fix or the turning point the rod stood on.");
        } else if (!sighted && !level.elevation_m && reading.bare_heights_doubted) {
            continue;  // said once for the job
        } else if (!sighted && !level.elevation_m) {
            log.problem(cells.source, "The row has no usable reading, so it was not used.",
                        "Give a backsight, a foresight or a known elevation.");
        } else if (sighted && level.setup.empty()) {
            log.problem(row.where("setup"), "The row does not say the setup, so it was not used.",
                        "Number the setups of the instrument: 1, 2, 3.");
        } else {
            levels.push_back(std::move(level));
        }
    }
    return levels;
}

}  // namespace sondeline
