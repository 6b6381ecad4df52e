#include <array>

#include "intake/position_quality.hpp"
#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 13> kColumns{
    "id",         "kind",       "lon",      "lat",       "x",        "y",   "ground",
    "h accuracy", "v accuracy", "capacity", "condition", "receiver", "note"};

constexpr std::array kKinds{
    StructureKind::building,         StructureKind::cleanout,    StructureKind::tank,
    StructureKind::distribution_box, StructureKind::drop_box,    StructureKind::junction,
    StructureKind::pump_chamber,     StructureKind::seepage_pit, StructureKind::trench_end,
    StructureKind::reference,        StructureKind::other};

}  // namespace

const TableForm kStructuresForm{"structures", kColumns, true, true};

std::vector<Structure> read_structures(const Table& table, Reading& reading, FindingLog& log) {
    std::vector<Structure> structures;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        if (!row.has("id")) {
            log.problem(row.where("id"), "The structure has no id, so it was not used.",
                        "Give it a short name of its own, like T1.");
            continue;
        }
        Structure structure;
        structure.id.text = row.text("id");
        structure.kind = row.choice("kind", kKinds, StructureKind::other);
        structure.position = read_position(row);
        structure.ground_m = row.height_m("ground");
        structure.h_accuracy_m = stated_h_accuracy_m(row, cells);
        structure.v_accuracy_m = row.accuracy_m("v accuracy");
        structure.capacity_m3 = row.volume_m3("capacity");
        structure.condition = row.text("condition");
        structure.receiver = row.text("receiver");
        structure.note = row.text("note");
        structure.attributes = cells.attributes;
        structure.source = cells.source;
        structures.push_back(std::move(structure));
    }
    return structures;
}

}  // namespace sondeline
