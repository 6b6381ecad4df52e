#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "deliverables/exchange/exchange.hpp"
#include "deliverables/exchange/wgs84.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 4> exchanged{"pipe_runs", "structures", "bellies",
                                                    "observations"};

bool is_exchanged(const LayerTable& table) {
    return std::ranges::find(exchanged, table.name) != exchanged.end();
}

// One field for each name: a column that several layers have keeps one meaning in all of them.
void add_fields(OGRLayer& layer, std::span<const LayerTable> tables) {
    add_field(layer, {"layer", ColumnType::text, ""});
    for (const LayerTable& table : tables) {
        if (!is_exchanged(table)) continue;
        for (const Column& column : table.columns) {
            if (layer.GetLayerDefn()->GetFieldIndex(column.name.c_str()) < 0) {
                add_field(layer, column);
            }
        }
    }
}

// Columns of other layers stay unset and are left out; what was not measured is null.
void write_row(OGRLayer& layer, const LayerTable& table, const LayerRow& row,
               const Wgs84FromMap& wgs84) {
    OGRFeature feature(layer.GetLayerDefn());
    feature.SetField(0, table.name.c_str());
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        const int field = layer.GetLayerDefn()->GetFieldIndex(table.columns[i].name.c_str());
        feature.SetFieldNull(field);
        set_cell(feature, field, row.cells[i]);
    }
    if (auto geometry = wgs84(table.geometry, row.geometry)) {
        feature.SetGeometryDirectly(geometry.release());
    }
    write_feature(layer, feature);
}

}  // namespace

void write_geojson(const std::filesystem::path& file, const LocalFrame& frame,
                   std::span<const LayerTable> layers) {
    const QuietErrors quiet;
    const Wgs84FromMap wgs84(frame.crs);
    const Dataset dataset = create_dataset("GeoJSON", file, DriverOptions(OptionList{}));
    const DriverOptions options(OptionList{{"RFC7946", "YES"},
                                           {"COORDINATE_PRECISION", "7"},
                                           {"WRITE_BBOX", "YES"},
                                           {"WRITE_NAME", "NO"}});
    OGRLayer* layer = dataset->CreateLayer("asbuilt", wgs84.wgs84(), wkbUnknown, options.get());
    if (layer == nullptr) fail_output("asbuilt.geojson.");
    add_fields(*layer, layers);
    for (const LayerTable& table : layers) {
        if (!is_exchanged(table)) continue;
        for (const LayerRow& row : table.rows) write_row(*layer, table, row, wgs84);
    }
}

Findings exchange_findings(const LocalFrame& frame) {
    if (frame.crs != "local") return {};
    Finding finding;
    finding.severity = Severity::info;
    finding.what =
        "asbuilt.geojson and asbuilt.kml were not written: this job has coordinates of its own, "
        "and both files need longitude and latitude.";
    finding.what_to_do =
        "Give structures or fixes lon and lat, or name the map's coordinate system in the row crs "
        "of the job table.";
    return {finding};
}

}  // namespace sondeline
