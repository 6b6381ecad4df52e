#include <array>

#include "intake/position_quality.hpp"
#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 19> kColumns{"id",
                                                    "run",
                                                    "counter",
                                                    "video time",
                                                    "clock",
                                                    "lon",
                                                    "lat",
                                                    "x",
                                                    "y",
                                                    "ground",
                                                    "depth",
                                                    "heading",
                                                    "h accuracy",
                                                    "depth accuracy",
                                                    "heading accuracy",
                                                    "ground accuracy",
                                                    "method",
                                                    "receiver",
                                                    "note"};

constexpr std::array kMethods{FixMethod::sonde, FixMethod::probe, FixMethod::open};

// Where along the run: the first of counter, video time and clock that is given. Without a position
// the clock is kept beside them: a log of the receiver may tell where it was at that time.
void read_place(const RowReader& row, const std::vector<Run>& runs, Fix& fix) {
    std::vector<std::string> given;
    const bool placed = row.has("lon") || row.has("lat") || row.has("x") || row.has("y");
    const bool for_position = row.has("clock") && !placed;
    if (for_position) fix.clock_s = row.clock_s("clock");
    for (const std::string_view column : {"counter", "video time", "clock"}) {
        const bool apart = for_position && column == "clock";
        if (row.has(column) && !apart) given.emplace_back(column);
    }
    if (given.size() > 1) {
        row.log().caution(
            row.where(given[1]),
            fmt::format("The fix gives {}; only the {} was used.", listed(given), given.front()),
            "Keep the one that was written down at the spot.");
    }
    if (given.empty()) return;
    if (given.front() == "counter") {
        fix.counter = row.counter("counter", counter_unit_of(runs, fix.run));
    } else if (given.front() == "video time") {
        fix.video_time_s = row.video_time_s("video time");
    } else {
        fix.clock_s = row.clock_s("clock");
    }
}

MaybeCell<double> axial_heading(MaybeCell<double> heading) {
    if (heading) heading->value = axial(heading->value).rad;
    return heading;
}

}  // namespace

const TableForm kFixesForm{"fixes", kColumns, true, true};

std::vector<Fix> read_fixes(const Table& table, const std::vector<Run>& runs, Reading& reading,
                            FindingLog& log) {
    std::vector<Fix> fixes;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        Fix fix;
        fix.id = row.has("id") ? row.text("id") : fmt::format("no. {}", fixes.size() + 1);
        fix.run.text = row.text("run");
        read_place(row, runs, fix);
        fix.position = read_position(row);
        fix.ground_m = row.height_m("ground");
        fix.depth_m = row.depth_m("depth");
        fix.heading_rad = axial_heading(row.heading_rad("heading"));
        fix.h_accuracy_m = stated_h_accuracy_m(row, cells);
        fix.depth_accuracy_m = row.accuracy_m("depth accuracy");
        fix.heading_accuracy_rad = row.accuracy_rad("heading accuracy");
        fix.ground_accuracy_m = row.accuracy_m("ground accuracy");
        fix.method = row.choice("method", kMethods, FixMethod::sonde);
        fix.receiver = row.text("receiver");
        fix.note = row.text("note");
        fix.attributes = cells.attributes;
        fix.source = cells.source;
        fixes.push_back(std::move(fix));
    }
    return fixes;
}

}  // namespace sondeline
