#include <array>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 7> kColumns{"step",  "clock", "volume", "seconds",
                                                   "point", "level", "note"};

// Seconds, also as m:ss.
MaybeCell<double> read_seconds(const RowReader& row) {
    auto seconds = row.video_time_s("seconds");
    if (!seconds || seconds->value > 0.0) return seconds;
    row.reject(*row.cell("seconds"), "a length of time: it must be greater than zero",
               "Write how many seconds it took.");
    return std::nullopt;
}

// Of a test only the time from one step to the next counts, so that clocks need no date: the job's,
// else that of a step which has one, else any.
std::string day_of(const Table& table, const Reading& reading) {
    if (!reading.date.empty()) return reading.date;
    constexpr std::size_t date_length = 10;
    for (const TableRow& row : table.rows) {
        const auto clock = row.cells.find("clock");
        if (clock != row.cells.end() && parse_clock_s(clock->second.text, "", 0.0)) {
            return std::string(trim(clock->second.text).substr(0, date_length));
        }
    }
    return "1970-01-01";
}

}  // namespace

const TableForm kLoadTestForm{"loadtest", kColumns};

std::vector<LoadStep> read_load_test(const Table& table, Reading& reading, FindingLog& log) {
    std::vector<LoadStep> steps;
    const std::string day = day_of(table, reading);
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        LoadStep step;
        step.step = row.text("step");
        step.clock_s = row.clock_on_day_s("clock", day);
        step.volume_m3 = row.volume_m3("volume");
        step.seconds = read_seconds(row);
        step.point = row.text("point");
        step.level_m = row.length_m("level");
        step.note = row.text("note");
        step.source = cells.source;
        steps.push_back(std::move(step));
    }
    return steps;
}

}  // namespace sondeline
