#include <algorithm>

#include <fmt/format.h>

#include "service/shared_map.hpp"

namespace sondeline {

namespace fs = std::filesystem;

namespace {

// From the coordinate system of a job's layer to the map's; empty when the layer has none that can
// be placed on the earth.
using Transformation = std::unique_ptr<OGRCoordinateTransformation>;

bool is_on_the_earth(const OGRSpatialReference* srs) {
    return srs != nullptr && (srs->IsProjected() != 0 || srs->IsGeographic() != 0) &&
           srs->GetAuthorityCode(nullptr) != nullptr;
}

Transformation transformation(const OGRLayer& source, const OGRSpatialReference& map_srs) {
    const OGRSpatialReference* stated = const_cast<OGRLayer&>(source).GetSpatialRef();
    if (!is_on_the_earth(stated)) return nullptr;
    OGRSpatialReference srs(*stated);
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    Transformation made(OGRCreateCoordinateTransformation(&srs, &map_srs));
    if (!made) map_fails("The job's positions cannot be brought into the map's coordinate system");
    return made;
}

void remove_job(OGRLayer& layer, const std::string& job) {
    const std::string filter = "job = " + quoted_literal(job);
    if (layer.SetAttributeFilter(filter.c_str()) != OGRERR_NONE) map_fails("The map is not ours");
    std::vector<GIntBig> ids;
    layer.ResetReading();
    while (const OGRFeatureUniquePtr row{layer.GetNextFeature()}) ids.push_back(row->GetFID());
    layer.SetAttributeFilter(nullptr);
    for (const GIntBig id : ids) {
        if (layer.DeleteFeature(id) != OGRERR_NONE) map_fails("An old row could not be removed");
    }
}

struct Copied {
    std::int64_t rows = 0;
    std::int64_t without_place = 0;
};

// Field by field by name; GeoPackage and PostGIS count their rows themselves.
void copy_row(const OGRFeature& row, const Transformation& to_map, OGRLayer& layer,
              const std::string& job, Copied& copied) {
    OGRFeature copy(layer.GetLayerDefn());
    copy.SetFrom(&row, TRUE);
    copy.SetFID(OGRNullFID);
    copy.SetField("job", job.c_str());
    if (OGRGeometry* place = copy.GetGeometryRef(); place != nullptr) {
        if (!to_map) {
            copy.SetGeometryDirectly(nullptr);
            ++copied.without_place;
        } else if (place->transform(to_map.get()) != OGRERR_NONE) {
            map_fails("A position lies outside of what the map's coordinate system can show");
        }
    }
    if (layer.CreateFeature(&copy) != OGRERR_NONE) map_fails("A row could not be written");
    ++copied.rows;
}

void copy_layer(OGRLayer& source, SharedMap& map, const std::string& job, Copied& copied) {
    OGRLayer& layer = map.layer(source.GetName(), *source.GetLayerDefn());
    remove_job(layer, job);
    const Transformation to_map = transformation(source, map.srs());
    source.ResetReading();
    while (const OGRFeatureUniquePtr row{source.GetNextFeature()}) {
        copy_row(*row, to_map, layer, job, copied);
    }
}

// The table of jobs: which there are, and where each came from.
void list_job(SharedMap& map, const std::string& job, const std::string& folder,
              const PublishOptions& options) {
    OGRFeatureDefn columns("jobs");
    columns.Reference();
    columns.SetGeomType(wkbNone);
    OGRFieldDefn from("folder", OFTString);
    columns.AddFieldDefn(&from);
    OGRLayer& jobs = map.layer("jobs", columns);
    const std::string filter = "job = " + quoted_literal(job);
    if (jobs.SetAttributeFilter(filter.c_str()) != OGRERR_NONE) map_fails("The map is not ours");
    jobs.ResetReading();
    const OGRFeatureUniquePtr known{jobs.GetNextFeature()};
    jobs.SetAttributeFilter(nullptr);
    const std::string known_folder = known ? known->GetFieldAsString("folder") : folder;
    if (known_folder != folder && !options.replace_other) {
        throw MapError(
            fmt::format("The map holds a job {} already, from {}. Rename one of the "
                        "folders, or replace it with --replace.",
                        job, known_folder));
    }
    remove_job(jobs, job);
    OGRFeature row(jobs.GetLayerDefn());
    row.SetField("job", job.c_str());
    row.SetField("folder", folder.c_str());
    if (jobs.CreateFeature(&row) != OGRERR_NONE) map_fails("The job could not be listed");
}

GDALDatasetUniquePtr open_job(const fs::path& folder) {
    RegisterOGRGeoPackage();
    const fs::path file = folder / "asbuilt" / "asbuilt.gpkg";
    std::error_code error;
    if (!fs::is_regular_file(file, error)) {
        throw MapError(fmt::format("{} holds no map yet; run sondeline process first.",
                                   folder.generic_string()));
    }
    const char* const drivers[] = {"GPKG", nullptr};
    GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY,
                                                   drivers, nullptr, nullptr));
    if (!dataset) map_fails(fmt::format("{} cannot be read", file.generic_string()));
    return dataset;
}

Finding left_without_place(const std::string& job, std::int64_t rows) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = fmt::format(
        "The job {} is in local coordinates, so {} of its rows are in the map without a place.",
        job, rows);
    finding.what_to_do =
        "Give crs and the positions of two or more structures in lon and lat, process it and "
        "publish it again.";
    return finding;
}

bool is_our_layer(const std::string& name) {
    return name != "layer_styles" && name != "jobs" && !name.starts_with("gpkg_");
}

}  // namespace

Published publish_job(const fs::path& folder, const std::string& to,
                      const PublishOptions& options) {
    const CPLErrorHandlerPusher silent(CPLQuietErrorHandler);
    Published published;
    std::error_code error;
    const fs::path whole = fs::weakly_canonical(folder, error);
    published.job = (error ? folder : whole).filename().string();
    try {
        const GDALDatasetUniquePtr job = open_job(folder);
        SharedMap map(to, options.crs);
        Copied copied;
        for (OGRLayer* layer : job->GetLayers()) {
            if (is_our_layer(layer->GetName())) copy_layer(*layer, map, published.job, copied);
        }
        list_job(map, published.job, whole.generic_string(), options);
        map.commit();
        published.rows = copied.rows;
        if (copied.without_place > 0) {
            published.findings.push_back(left_without_place(published.job, copied.without_place));
        }
    } catch (const MapError& failure) {
        published.error = fmt::format("The job {} was not published; the map is as it was. {}",
                                      published.job, failure.what());
    }
    return published;
}

}  // namespace sondeline
