#include <algorithm>
#include <array>
#include <cmath>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 18> kColumns{"id",
                                                    "footage",
                                                    "kind",
                                                    "from",
                                                    "to",
                                                    "status",
                                                    "diameter",
                                                    "material",
                                                    "stick length",
                                                    "counter unit",
                                                    "counter decimals",
                                                    "counter at start",
                                                    "start heading",
                                                    "start invert depth",
                                                    "end invert depth",
                                                    "footage start",
                                                    "reel",
                                                    "note"};

constexpr std::array kKinds{RunKind::building_sewer, RunKind::effluent_line, RunKind::lateral,
                            RunKind::trench, RunKind::other};
constexpr std::array kStatuses{RunStatus::open, RunStatus::capped, RunStatus::broken,
                               RunStatus::not_entered};

// `a.mp4; b.mp4`
std::vector<std::string> split_names(std::string_view text) {
    std::vector<std::string> names;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(';'), text.size());
        const std::string_view name = trim(text.substr(0, end));
        if (!name.empty()) names.emplace_back(name);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return names;
}

// Counters of feet and inches are read in decimal feet.
std::optional<LengthUnit> read_counter_unit(const RowReader& row) {
    const TextCell* cell = row.cell("counter unit");
    if (cell == nullptr) return std::nullopt;
    const std::string word = normalised(cell->text);
    if (word == "ft in" || word == "feet and inches") return LengthUnit::foot;
    const auto unit = parse_length_unit(cell->text);
    if (!unit) row.reject(*cell, "a unit of a counter", "Write ft, us-ft or m.");
    return unit;
}

// Reels count in thousandths at the finest.
std::optional<int> read_counter_decimals(const RowReader& row) {
    constexpr double most = 3.0;
    const MaybeCell<double> typed = row.number("counter decimals");
    if (!typed) return std::nullopt;
    const bool whole =
        typed->value >= 0.0 && typed->value <= most && typed->value == std::floor(typed->value);
    if (whole) return static_cast<int>(typed->value);
    row.reject(*row.cell("counter decimals"), "a number of digits behind the point",
               "Write 0, 1, 2 or 3: how many digits the picture shows behind the point.");
    return std::nullopt;
}

// Pipe is sold in pieces from a foot of clay tile to 20 ft of plastic (common practice, no source).
MaybeCell<double> read_stick_length(const RowReader& row) {
    constexpr double least_m = 0.25;
    constexpr double most_m = 8.0;
    MaybeCell<double> typed = row.length_m("stick length");
    if (!typed || (typed->value >= least_m && typed->value <= most_m)) return typed;
    row.reject(*row.cell("stick length"), "the length of a stick of pipe",
               "Write the length that one piece lays, with its unit, like 10 ft.");
    return std::nullopt;
}

// The run's id, else the first footage file without its extension.
std::string read_id(const RowReader& row, const std::vector<std::string>& footage) {
    if (row.has("id")) return row.text("id");
    if (footage.empty()) {
        row.log().problem(row.where("id"),
                          "The run has neither an id nor footage, so it was not used.",
                          "Give it a short name of its own, like L1.");
        return {};
    }
    std::string id = footage.front().substr(0, footage.front().rfind('.'));
    row.log().info(row.where("id"), fmt::format("The run has no id; {} was taken.", shown(id)),
                   "Give it a short name of its own, like L1.");
    return id;
}

std::optional<StructureId> read_end(const RowReader& row, std::string_view column) {
    if (!row.has(column)) return std::nullopt;
    return StructureId{row.text(column)};
}

Run read_run(const RowReader& row, const TableRow& cells) {
    Run run;
    run.footage = split_names(row.text("footage"));
    run.id.text = read_id(row, run.footage);
    run.kind = row.choice("kind", kKinds, RunKind::other);
    run.kind_said = row.says("kind", run.kind);
    run.from = read_end(row, "from");
    run.to = read_end(row, "to");
    run.status = row.choice("status", kStatuses, RunStatus::open);
    run.diameter_m = row.diameter_m("diameter");
    run.material = row.text("material");
    run.stick_length_m = read_stick_length(row);
    run.counter_unit = read_counter_unit(row);
    run.counter_decimals = read_counter_decimals(row);
    run.counter_at_start = row.counter("counter at start", run.counter_unit);
    run.start_heading_rad = row.heading_rad("start heading");
    run.start_invert_depth_m = row.depth_m("start invert depth");
    run.end_invert_depth_m = row.depth_m("end invert depth");
    run.footage_start_s = row.clock_s("footage start");
    run.reel = row.text("reel");
    run.note = row.text("note");
    run.attributes = cells.attributes;
    run.source = cells.source;
    if (run.from && run.from == run.to) {
        row.log().problem(row.where("to"), "The run ends at the structure it starts from.",
                          "Correct from or to; the end was taken as unknown.");
        run.to.reset();
    }
    return run;
}

}  // namespace

const TableForm kRunsForm{"runs", kColumns, true};

std::vector<Run> read_runs(const Table& table, Reading& reading, FindingLog& log) {
    std::vector<Run> runs;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        Run run = read_run(row, cells);
        if (run.id.text.empty()) continue;
        if (const auto first = std::ranges::find(runs, run.id, &Run::id); first != runs.end()) {
            log.problem(row.where("id"),
                        fmt::format("The run {} already stands in {}; this row was not used.",
                                    shown(run.id.text), describe(where_is(first->source))),
                        "Give every run an id of its own. Several clips of one run go into one "
                        "footage cell, separated by a semicolon.");
            continue;
        }
        runs.push_back(std::move(run));
    }
    return runs;
}

std::optional<LengthUnit> counter_unit_of(const std::vector<Run>& runs, const RunId& run) {
    const auto found = std::ranges::find(runs, run, &Run::id);
    return found == runs.end() ? std::nullopt : found->counter_unit;
}

}  // namespace sondeline
