#include <algorithm>

#include "deliverables/layers.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

std::vector<Column> columns() {
    using enum ColumnType;
    return {
        {"fix_id", text, "Name in the job's tables"},
        {"run_id", text, "Run it belongs to"},
        {"used", text, "Used, rejected or unplaced"},
        {"why", text, "Why it was rejected or not placed, and what it may be"},
        {"method", text, "Sonde, probe or open"},
        {"placing", text, "What placed it along the run"},
        {"station_m", real, "Distance from the start of the run along the pipe, m"},
        {"across_m", real, "Observed minus adjusted, to the right of the push, m"},
        {"along_m", real, "Observed minus adjusted, forward of the push, m"},
        {"h_sd_m", real, "Stated accuracy of the position, one standard deviation, m"},
        {"weight", real, "Weight in the adjustment, 0 to 1"},
        {"heading_deg", real,
         "Observed direction of the pipe, degrees from grid north, either way"},
        {"heading_residual_deg", real, "Observed minus adjusted direction, degrees"},
        {"heading_used", yes_no, "Whether the direction was used"},
        {"ground_m", real, "Elevation of the ground there, as observed, m"},
        {"ground_used", yes_no,
         "Whether that elevation was used; not where its neighbours and the pipe contradict it"},
        {"depth_m", real, "Observed depth, m"},
        {"depth_residual_m", real, "Observed minus adjusted depth, m"},
        {"depth_used", yes_no, "Whether the depth was used"},
        {"source_file", text, "Table the fix stands in"},
        {"source_row", integer, "Row of that table; the header is row 1"},
    };
}

// The depth residual of a fix and whether the profile used the depth; empty when it has no part.
struct DepthPart {
    std::optional<double> residual_m;
    std::optional<bool> used;
};

bool has(const std::vector<int>& indices, int index) {
    return std::ranges::find(indices, index) != indices.end();
}

DepthPart depth_part(const Profiles& profiles, int fix) {
    DepthPart part;
    for (const GradedRun& run : profiles.runs) {
        for (const auto& [index, residual_m] : run.depth_residuals_m) {
            if (index == fix) part = {residual_m, true};
        }
        if (has(run.rejected_depth_fixes, fix)) part.used = false;
    }
    return part;
}

std::string reason_of(const SiteFix& fix, const FixResult& result) {
    if (result.why.empty()) return fix.why_unplaced;
    return result.what_to_do.empty() ? result.why : result.why + " " + result.what_to_do;
}

std::optional<double> value_of(const std::optional<Estimate>& estimate) {
    return estimate ? std::optional(estimate->value) : std::nullopt;
}

// z as observed: the transmitter's elevation, or minus its depth without ground.
double observed_z_m(const SiteFix& fix) {
    const double depth_m = fix.depth_m ? fix.depth_m->value : 0.0;
    return fix.ground_m ? fix.ground_m->value - depth_m : -depth_m;
}

}  // namespace

LayerTable fixes_layer(const AsBuilt& as_built) {
    LayerTable table{
        "fixes",
        "Locator fixes as observed, with what the adjustment made of them; z is ground "
        "minus depth, or minus depth where the ground is not known",
        LayerGeometry::point_z,
        columns(),
        {}};
    const std::vector<int>& gone = as_built.profiles.heights_not_used.fixes;
    for (std::size_t i = 0; i < as_built.site.fixes.size(); ++i) {
        const SiteFix& fix = as_built.site.fixes[i];
        const FixResult& result = as_built.lines.fixes[i];
        const DepthPart depth = depth_part(as_built.profiles, static_cast<int>(i));
        const bool placed = result.use != FixUse::unplaced;
        const auto degrees = [](std::optional<double> rad) {
            return rad ? std::optional(*rad / degree_rad) : std::nullopt;
        };
        LayerRow row;
        row.cells = {
            text_cell(fix.id),
            text_cell(fix.run < 0 ? ""
                                  : as_built.site.runs[static_cast<std::size_t>(fix.run)].id.text),
            text_cell(word(result.use)),
            text_cell(reason_of(fix, result)),
            text_cell(word(fix.method)),
            text_cell(word(fix.placing)),
            placed ? real_cell(result.station_m) : CellValue{},
            real_cell(result.across_m),
            real_cell(result.along_m),
            fix.position ? real_cell(fix.h_sd_stated_m) : CellValue{},
            real_cell(result.weight),
            real_cell(degrees(fix.heading ? std::optional(fix.heading->rad) : std::nullopt), 1),
            real_cell(degrees(result.heading_rad), 1),
            fix.heading ? CellValue{placed && !result.heading_rejected} : CellValue{},
            real_cell(value_of(fix.ground_m)),
            fix.ground_m ? CellValue{!has(gone, static_cast<int>(i))} : CellValue{},
            real_cell(value_of(fix.depth_m)),
            real_cell(depth.residual_m),
            fix.depth_m && result.of_another_run ? CellValue{false}
            : depth.used                         ? CellValue{*depth.used}
                                                 : CellValue{},
            text_cell(fix.source.file),
            fix.source.row > 0 ? integer_cell(fix.source.row) : CellValue{}};
        if (fix.position) {
            const MapPoint map = map_from_local(as_built.site.frame, fix.position->at);
            row.geometry = {{map.x, map.y, observed_z_m(fix), 0.0}};
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

}  // namespace sondeline
