#include <array>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 5> kColumns{"setup", "point", "backsight", "foresight",
                                                   "elevation"};

std::optional<double> read_length(const RowReader& row, std::string_view column) {
    const auto length = row.length_m(column);
    return length ? std::optional(length->value) : std::nullopt;
}

}  // namespace

const TableForm kLevelsForm{"levels", kColumns};

std::vector<LevelReading> read_levels(const Table& table, Reading& reading, FindingLog& log) {
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
