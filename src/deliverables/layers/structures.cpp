#include <algorithm>

#include <fmt/format.h>

#include "deliverables/layers.hpp"
#include "deliverables/placing.hpp"

namespace sondeline {

namespace {

const Structure* typed_row(const Job& job, const StructureId& id) {
    const auto row = std::ranges::find(job.structures, id, &Structure::id);
    return row == job.structures.end() ? nullptr : &*row;
}

// The height that figures may rest on, and where it comes from or why there is none.
struct Ground {
    std::optional<Estimate> elevation_m;
    std::string source;
};

Ground ground_of(const AsBuilt& as_built, std::size_t structure) {
    const SiteStructure& surveyed = as_built.site.structures[structure];
    const HeightsNotUsed& not_used = as_built.profiles.heights_not_used;
    const auto is_of = [&](const std::vector<int>& structures) {
        return std::ranges::find(structures, static_cast<int>(structure)) != structures.end();
    };
    const auto withheld = [&](const char* why) {
        return Ground{std::nullopt, fmt::format("{}; not used, as {} (layer findings)",
                                                surveyed.ground_source, why)};
    };
    if (is_of(not_used.structures)) {
        return withheld("its neighbours and the pipes there contradict it");
    }
    if (is_of(not_used.exchanged)) {
        return withheld("it looks written down for another");
    }
    return {surveyed.ground_m, surveyed.ground_source};
}

}  // namespace

LayerTable structures_layer(const AsBuilt& as_built) {
    using enum ColumnType;
    LayerTable table{
        "structures",
        "Tanks, boxes, ends and reference marks, adjusted; z is the ground there, 0 when ground_m "
        "is empty",
        LayerGeometry::point_z,
        {{"structure_id", text, "Name in the job's tables"},
         {"kind", text, "Kind of structure"},
         {"how_fixed", text, "What holds its position"},
         {"h_sd_m", real, "One standard deviation of the position, worst direction, m"},
         {"ground_m", real, "Elevation of the ground there, m"},
         {"z_sd_m", real, "One standard deviation of ground_m, m"},
         {"ground_source", text, "Where ground_m comes from, or why it is not given"},
         {"capacity_l", real, "Stated capacity, litres"},
         {"condition", text, "As noted"},
         {"note", text, "As noted"}},
        {}};
    for (std::size_t i = 0; i < as_built.lines.structures.size(); ++i) {
        const AlignedStructure& aligned = as_built.lines.structures[i];
        const Structure* typed = typed_row(as_built.job, aligned.id);
        const bool has_capacity = typed != nullptr && typed->capacity_m3.has_value();
        const Ground from = ground_of(as_built, i);
        const auto& ground = from.elevation_m;
        LayerRow row;
        row.cells = {text_cell(aligned.id.text),
                     text_cell(word(aligned.kind)),
                     text_cell(aligned.how_fixed),
                     aligned.plan ? real_cell(worst_plan_sd_m(aligned.plan->cov)) : CellValue{},
                     real_cell(ground ? std::optional(ground->value) : std::nullopt),
                     real_cell(ground ? std::optional(ground->sd) : std::nullopt),
                     text_cell(from.source),
                     has_capacity ? real_cell(typed->capacity_m3->value * 1000.0, 1) : CellValue{},
                     text_cell(typed == nullptr ? "" : typed->condition),
                     text_cell(typed == nullptr ? "" : typed->note)};
        if (aligned.plan) {
            const MapPoint map = map_from_local(as_built.site.frame, aligned.plan->at);
            row.geometry = {{map.x, map.y, ground ? ground->value : 0.0, 0.0}};
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
