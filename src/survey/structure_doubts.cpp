#include "survey/structure_doubts.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "intake/volume.hpp"

namespace sondeline {

namespace {

// Distribution boxes hold a few tens of gallons, tanks hundreds (common practice, no source).
constexpr double least_tank_m3 = 100.0 * m3_per_us_gallon;
// A tank may feed one trench without a box between them.
constexpr std::ptrdiff_t fewest_laterals = 2;

bool is_lateral(const Run& run) {
    return run.kind == RunKind::lateral || run.kind == RunKind::trench;
}

bool meets(const Run& run, const StructureId& id) {
    return run.from == id || run.to == id;
}

std::string tank_doubt(const Job& job, const StructureId& id) {
    const auto comes_in = std::ranges::find_if(job.runs, [&](const Run& run) {
        return run.kind == RunKind::effluent_line && run.to == id;
    });
    const auto laterals = std::ranges::count_if(
        job.runs, [&](const Run& run) { return is_lateral(run) && meets(run, id); });
    if (comes_in == job.runs.end() || laterals < fewest_laterals) return "";
    return fmt::format(
        "{} laterals start there and the effluent line {} ends there, as at a "
        "distribution box",
        laterals, comes_in->id.text);
}

std::string box_doubt(const Structure& box) {
    if (!box.capacity_m3 || box.capacity_m3->value < least_tank_m3) return "";
    return fmt::format("it holds {:.0f} gal ({:.0f} L), as a tank does",
                       box.capacity_m3->value / m3_per_us_gallon, 1000.0 * box.capacity_m3->value);
}

std::string doubt(const Job& job, const Structure& structure) {
    switch (structure.kind) {
        case StructureKind::tank: return tank_doubt(job, structure.id);
        case StructureKind::distribution_box:
        case StructureKind::drop_box: return box_doubt(structure);
        default: return "";
    }
}

}  // namespace

void tell_doubted_structures(const Job& job, Findings& findings) {
    for (const Structure& structure : job.structures) {
        const std::string why = doubt(job, structure);
        if (why.empty()) continue;
        Where where = where_is(structure.source);
        where.column = "kind";
        where.structure = structure.id.text;
        findings.push_back({Severity::caution, where,
                            fmt::format("The kind of this structure, {}, does not fit: {}.",
                                        word(structure.kind), why),
                            "Correct its kind in the structures table, or the kind, from and to "
                            "of the runs that meet it, and process again."});
    }
}

}  // namespace sondeline
