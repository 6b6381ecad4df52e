#include "sondeline/intake.hpp"

namespace sondeline {

std::string_view word(StructureKind kind) {
    switch (kind) {
        case StructureKind::building: return "building";
        case StructureKind::cleanout: return "cleanout";
        case StructureKind::tank: return "tank";
        case StructureKind::distribution_box: return "distribution box";
        case StructureKind::drop_box: return "drop box";
        case StructureKind::junction: return "junction";
        case StructureKind::pump_chamber: return "pump chamber";
        case StructureKind::seepage_pit: return "seepage pit";
        case StructureKind::trench_end: return "trench end";
        case StructureKind::reference: return "reference";
        case StructureKind::other: return "other";
    }
    return "";
}

std::string_view word(RunKind kind) {
    switch (kind) {
        case RunKind::building_sewer: return "building sewer";
        case RunKind::effluent_line: return "effluent line";
        case RunKind::lateral: return "lateral";
        case RunKind::trench: return "trench";
        case RunKind::other: return "other";
    }
    return "";
}

std::string_view word(RunStatus status) {
    switch (status) {
        case RunStatus::open: return "open";
        case RunStatus::capped: return "capped";
        case RunStatus::broken: return "broken";
        case RunStatus::not_entered: return "not entered";
    }
    return "";
}

std::string_view word(FixMethod method) {
    switch (method) {
        case FixMethod::sonde: return "sonde";
        case FixMethod::probe: return "probe";
        case FixMethod::open: return "open";
    }
    return "";
}

std::string_view word(NoteCategory category) {
    switch (category) {
        case NoteCategory::root: return "root";
        case NoteCategory::crack: return "crack";
        case NoteCategory::collapse: return "collapse";
        case NoteCategory::offset_joint: return "offset joint";
        case NoteCategory::deposit: return "deposit";
        case NoteCategory::standing_water: return "standing water";
        case NoteCategory::fitting: return "fitting";
        case NoteCategory::cap: return "cap";
        case NoteCategory::end: return "end";
        case NoteCategory::infiltration: return "infiltration";
        case NoteCategory::other: return "other";
    }
    return "";
}

std::string_view word(RecordItem item) {
    switch (item) {
        case RecordItem::run_length: return "run length";
        case RecordItem::total_trench_length: return "total trench length";
        case RecordItem::number_of_laterals: return "number of laterals";
        case RecordItem::tank_capacity: return "tank capacity";
        case RecordItem::depth: return "depth";
        case RecordItem::slope: return "slope";
        case RecordItem::install_year: return "install year";
    }
    return "";
}

}  // namespace sondeline
