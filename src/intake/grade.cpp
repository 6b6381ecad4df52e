#include <array>
#include <cmath>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 3> kColumns{"run", "counter", "percent"};

// Steeper than this no head lies in a drain; it hangs in a drop, or the figure is something else.
constexpr double kSteepest_percent = 200.0;

}  // namespace

const TableForm kGradeForm{"grade", kColumns};

std::vector<GradeReading> read_grade(const Table& table, const std::vector<Run>& runs,
                                     Reading& reading, FindingLog& log) {
    std::vector<GradeReading> readings;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        GradeReading one;
        one.run.text = row.text("run");
        one.counter = row.counter("counter", counter_unit_of(runs, one.run));
        one.percent = row.number("percent");
        one.source = cells.source;
        if (one.percent && std::abs(one.percent->value) > kSteepest_percent) {
            row.reject(*row.cell("percent"), "a grade in percent",
                       "Write what the camera's level showed, like -1.5.");
            one.percent.reset();
        }
        if (!one.counter || !one.percent) {
            log.caution(cells.source, "The row needs counter and percent, so it was not used.",
                        "Write what the picture showed of both at one moment.");
        }
        readings.push_back(std::move(one));
    }
    return readings;
}

}  // namespace sondeline
