#include "grade/flow.hpp"

namespace sondeline::grade {

namespace {

// How far down the system a structure stands; empty when its kind does not say.
std::optional<int> rank(const std::optional<int>& index,
                        const std::vector<AlignedStructure>& structures) {
    if (!index || *index < 0 || static_cast<std::size_t>(*index) >= structures.size()) return {};
    switch (structures[static_cast<std::size_t>(*index)].kind) {
        case StructureKind::building: return 0;
        case StructureKind::cleanout: return 1;
        case StructureKind::tank: return 2;
        case StructureKind::pump_chamber: return 3;
        case StructureKind::distribution_box:
        case StructureKind::drop_box: return 4;
        case StructureKind::seepage_pit:
        case StructureKind::trench_end: return 5;
        default: return {};
    }
}

// Rank that lies in the middle of a run of this kind, times two so that it meets no structure's.
std::optional<int> middle_rank_twice(RunKind kind) {
    switch (kind) {
        case RunKind::building_sewer: return 3;
        case RunKind::effluent_line: return 7;
        case RunKind::lateral:
        case RunKind::trench: return 9;
        case RunKind::other: return {};
    }
    return {};
}

bool is_pump(const std::optional<int>& index, const std::vector<AlignedStructure>& structures) {
    return index && *index >= 0 && static_cast<std::size_t>(*index) < structures.size() &&
           structures[static_cast<std::size_t>(*index)].kind == StructureKind::pump_chamber;
}

Flow flow_by_kinds(const SiteRun& run, const std::vector<AlignedStructure>& structures) {
    Flow flow;
    const bool doubted = !run.kind_doubt.empty();
    flow.level = run.kind == RunKind::lateral || run.kind == RunKind::trench || doubted;
    const auto from = rank(run.from, structures);
    const auto to = rank(run.to, structures);
    if (from && to) {
        flow.known = *from != *to;
        flow.with_push = *from <= *to;
        return flow;
    }
    const auto middle = doubted ? std::nullopt : middle_rank_twice(run.kind);
    if (!middle || (!from && !to)) return flow;
    flow.known = true;
    flow.with_push = from ? 2 * *from < *middle : 2 * *to > *middle;
    return flow;
}

}  // namespace

Flow flow_of(const SiteRun& run, const std::vector<AlignedStructure>& structures) {
    Flow flow = flow_by_kinds(run, structures);
    flow.pumped =
        flow.known && !flow.level && is_pump(flow.with_push ? run.from : run.to, structures);
    return flow;
}

}  // namespace sondeline::grade
