#include "deliverables/geopackage.hpp"

#include <cpl_conv.h>
#include <fmt/format.h>
#include <gdal_priv.h>

#include "sondeline/deliverables.hpp"

#include "deliverables/map_styles.hpp"
#include "deliverables/ogr_output.hpp"

namespace sondeline {

namespace {

// GDAL stamps the file with the time of day unless it is told a date.
class FixedDate {
  public:
    explicit FixedDate(const std::string& timestamp) {
        CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", timestamp.c_str());
    }
    ~FixedDate() { CPLSetThreadLocalConfigOption("OGR_CURRENT_DATE", nullptr); }
    FixedDate(const FixedDate&) = delete;
    FixedDate& operator=(const FixedDate&) = delete;
};

std::string sql_text(std::string_view text) {
    std::string out = "'";
    for (const char c : text) {
        out += c;
        if (c == '\'') out += c;
    }
    return out + "'";
}

void sql(GDALDataset& dataset, const std::string& statement) {
    CPLErrorReset();
    OGRLayer* result = dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr);
    if (result != nullptr) dataset.ReleaseResultSet(result);
    if (CPLGetLastErrorType() >= CE_Failure) fail_output(statement.substr(0, 60));
}

OGRwkbGeometryType geometry_type(LayerGeometry geometry) {
    switch (geometry) {
        case LayerGeometry::none: return wkbNone;
        case LayerGeometry::point_z: return wkbPoint25D;
        case LayerGeometry::point_zm: return wkbPointZM;
        case LayerGeometry::line_zm: return wkbLineStringZM;
    }
    return wkbNone;
}

std::unique_ptr<OGRGeometry> geometry_of(const LayerTable& layer, const LayerRow& row) {
    if (row.geometry.empty()) return nullptr;
    const Vertex& first = row.geometry.front();
    if (layer.geometry == LayerGeometry::point_z) {
        return std::make_unique<OGRPoint>(first.x, first.y, first.z);
    }
    if (layer.geometry == LayerGeometry::point_zm) {
        return std::make_unique<OGRPoint>(first.x, first.y, first.z, first.m);
    }
    auto line = std::make_unique<OGRLineString>();
    for (const Vertex& vertex : row.geometry) {
        line->addPoint(vertex.x, vertex.y, vertex.z, vertex.m);
    }
    return line;
}

void write_layer(GDALDataset& dataset, const LayerTable& table, OGRSpatialReference* srs) {
    const bool spatial = table.geometry != LayerGeometry::none;
    OptionList wanted{{"DESCRIPTION", table.description}};
    if (spatial) wanted.emplace_back("GEOMETRY_NAME", "geom");
    const DriverOptions options(wanted);
    OGRLayer* layer = dataset.CreateLayer(table.name.c_str(), spatial ? srs : nullptr,
                                          geometry_type(table.geometry), options.get());
    if (layer == nullptr) fail_output("layer " + table.name + ".");
    for (const Column& column : table.columns) add_field(*layer, column);
    for (const LayerRow& row : table.rows) {
        OGRFeature feature(layer->GetLayerDefn());
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            set_cell(feature, static_cast<int>(i), row.cells[i]);
        }
        if (auto geometry = geometry_of(table, row)) {
            feature.SetGeometryDirectly(geometry.release());
        }
        write_feature(*layer, feature);
    }
}

// OGC 12-128r18, F.9: field titles and descriptions.
void write_descriptions(GDALDataset& dataset, std::span<const LayerTable> layers) {
    sql(dataset,
        "CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, "
        "name TEXT, title TEXT, description TEXT, mime_type TEXT, constraint_name TEXT, "
        "CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name), "
        "CONSTRAINT gdc_tn UNIQUE (table_name, name))");
    sql(dataset,
        "CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL, "
        "constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN, "
        "max NUMERIC, max_is_inclusive BOOLEAN, description TEXT, "
        "CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))");
    for (const char* table : {"gpkg_data_columns", "gpkg_data_column_constraints"}) {
        sql(dataset, fmt::format("INSERT INTO gpkg_extensions VALUES ('{}', NULL, 'gpkg_schema', "
                                 "'http://www.geopackage.org/spec/#extension_schema', "
                                 "'read-write')",
                                 table));
    }
    for (const LayerTable& layer : layers) {
        for (const Column& column : layer.columns) {
            sql(dataset, fmt::format("INSERT INTO gpkg_data_columns (table_name, column_name, "
                                     "description) VALUES ({}, {}, {})",
                                     sql_text(layer.name), sql_text(column.name),
                                     sql_text(column.description)));
        }
    }
}

// OGC 12-128r18, F.8: where the map came from.
void write_lineage(GDALDataset& dataset, const GeopackageText& words) {
    sql(dataset,
        "CREATE TABLE gpkg_metadata (id INTEGER CONSTRAINT m_pk PRIMARY KEY ASC NOT NULL, "
        "md_scope TEXT NOT NULL DEFAULT 'dataset', md_standard_uri TEXT NOT NULL, "
        "mime_type TEXT NOT NULL DEFAULT 'text/xml', metadata TEXT NOT NULL DEFAULT '')");
    sql(dataset,
        "CREATE TABLE gpkg_metadata_reference (reference_scope TEXT NOT NULL, table_name TEXT, "
        "column_name TEXT, row_id_value INTEGER, timestamp DATETIME NOT NULL DEFAULT "
        "(strftime('%Y-%m-%dT%H:%M:%fZ','now')), md_file_id INTEGER NOT NULL, "
        "md_parent_id INTEGER, CONSTRAINT crmr_mfi_fk FOREIGN KEY (md_file_id) REFERENCES "
        "gpkg_metadata(id), CONSTRAINT crmr_mpi_fk FOREIGN KEY (md_parent_id) REFERENCES "
        "gpkg_metadata(id))");
    for (const char* table : {"gpkg_metadata", "gpkg_metadata_reference"}) {
        sql(dataset,
            fmt::format("INSERT INTO gpkg_extensions VALUES ('{}', NULL, 'gpkg_metadata', "
                        "'http://www.geopackage.org/spec/#extension_metadata', 'read-write')",
                        table));
    }
    sql(dataset, fmt::format("INSERT INTO gpkg_metadata VALUES (1, 'dataset', "
                             "'http://www.isotc211.org/2005/gmd', 'application/json', {})",
                             sql_text(words.lineage_json)));
    sql(dataset, fmt::format("INSERT INTO gpkg_metadata_reference VALUES ('geopackage', NULL, "
                             "NULL, NULL, {}, 1, NULL)",
                             sql_text(words.timestamp)));
}

void write_styles(GDALDataset& dataset, std::span<const LayerTable> layers,
                  const std::string& timestamp) {
    sql(dataset,
        "CREATE TABLE layer_styles (id INTEGER PRIMARY KEY AUTOINCREMENT, f_table_catalog TEXT, "
        "f_table_schema TEXT, f_table_name TEXT, f_geometry_column TEXT, styleName TEXT, "
        "styleQML TEXT, styleSLD TEXT, useAsDefault BOOLEAN, description TEXT, owner TEXT, "
        "ui TEXT, update_time DATETIME)");
    // A desktop GIS reads the styles through GDAL, which shows only tables that are listed.
    sql(dataset, fmt::format("INSERT INTO gpkg_contents (table_name, data_type, identifier, "
                             "description, last_change) VALUES ('layer_styles', 'attributes', "
                             "'layer_styles', 'How a desktop GIS draws the layers', {})",
                             sql_text(timestamp)));
    for (const LayerTable& layer : layers) {
        const std::string qml = map_style_qml(layer.name);
        if (qml.empty()) continue;
        sql(dataset,
            fmt::format("INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, "
                        "f_geometry_column, styleName, styleQML, styleSLD, useAsDefault, "
                        "description, owner, ui, update_time) VALUES ('', '', {0}, 'geom', {0}, "
                        "{1}, '', 1, 'as-built map', '', NULL, {2})",
                        sql_text(layer.name), sql_text(qml), sql_text(timestamp)));
    }
}

// GDAL 3.6 files a layer without a coordinate system under srs_id 0, the undefined geographic one.
void mark_as_cartesian(GDALDataset& dataset, std::span<const LayerTable> layers) {
    for (const LayerTable& layer : layers) {
        if (layer.geometry == LayerGeometry::none) continue;
        sql(dataset, fmt::format("UPDATE \"{}\" SET geom = CAST(substr(geom, 1, 4) || x'FFFFFFFF' "
                                 "|| substr(geom, 9) AS BLOB) WHERE geom IS NOT NULL",
                                 layer.name));
    }
    sql(dataset, "UPDATE gpkg_geometry_columns SET srs_id = -1 WHERE srs_id = 0");
    sql(dataset, "UPDATE gpkg_contents SET srs_id = -1 WHERE data_type = 'features'");
}

}  // namespace

void write_geopackage(const std::filesystem::path& file, const LocalFrame& frame,
                      std::span<const LayerTable> layers, const GeopackageText& words) {
    const FixedDate date(words.timestamp);
    const QuietErrors quiet;
    const Dataset dataset =
        create_dataset("GPKG", file, DriverOptions(OptionList{{"VERSION", "1.3"}}));
    auto srs = spatial_reference(frame.crs);
    dataset->StartTransaction();
    for (const LayerTable& layer : layers) write_layer(*dataset, layer, srs ? &*srs : nullptr);
    write_descriptions(*dataset, layers);
    write_lineage(*dataset, words);
    write_styles(*dataset, layers, words.timestamp);
    if (dataset->CommitTransaction() != OGRERR_NONE) fail_output("the last step.");
    dataset->FlushCache();
    if (!srs) mark_as_cartesian(*dataset, layers);
}

}  // namespace sondeline
