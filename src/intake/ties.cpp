#include <array>

#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 5> kColumns{"point", "reference", "distance", "accuracy",
                                                   "side"};

TieSide read_side(const RowReader& row) {
    const TextCell* cell = row.cell("side");
    if (cell == nullptr) return TieSide::unknown;
    const std::string word = normalised(cell->text);
    if (word == "left" || word == "l") return TieSide::left;
    if (word == "right" || word == "r") return TieSide::right;
    row.reject(*cell, "a side",
               "Write left or right, as seen from the first reference toward the second.");
    return TieSide::unknown;
}

}  // namespace

const TableForm kTiesForm{"ties", kColumns};

std::vector<Tie> read_ties(const Table& table, Reading& reading, FindingLog& log) {
    std::vector<Tie> ties;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        const auto distance = row.length_m("distance");
        Tie tie{row.text("point"), row.text("reference"), 0.0, {}, read_side(row), cells.source};
        if (const auto accuracy = row.accuracy_m("accuracy")) tie.accuracy_m = accuracy->value;
        if (tie.point.empty() || tie.reference.empty() || tie.point == tie.reference) {
            log.problem(cells.source,
                        "The tie does not name two different points, so it was not used.",
                        "Name the measured point and the reference it was taped from.");
        } else if (!distance || distance->value <= 0.0) {
            log.problem(row.where("distance"),
                        "The tie has no usable distance, so it was not used.",
                        "Write the taped distance, like 34' 6\" or 10.52 m.");
        } else {
            tie.distance_m = distance->value;
            ties.push_back(std::move(tie));
        }
    }
    return ties;
}

}  // namespace sondeline
