#include "deliverables/ogr_output.hpp"

#include <cpl_conv.h>
#include <fmt/format.h>
#include <gdal_priv.h>

#include "sondeline/deliverables.hpp"

namespace sondeline {

QuietErrors::QuietErrors() {
    CPLPushErrorHandler(CPLQuietErrorHandler);
}

QuietErrors::~QuietErrors() {
    CPLPopErrorHandler();
}

DriverOptions::DriverOptions(const OptionList& options) {
    for (const auto& [name, value] : options) list_ = CSLSetNameValue(list_, name, value.c_str());
}

DriverOptions::~DriverOptions() {
    CSLDestroy(list_);
}

void fail_output(const std::string& what) {
    const char* detail = CPLGetLastErrorMsg();
    throw OutputError(
        fmt::format("The map could not be written: {} {}", what, detail == nullptr ? "" : detail));
}

namespace {

// Not all of GDAL's: what is not known to the program opens nothing and writes nothing.
void register_drivers() {
    RegisterOGRGeoPackage();
    RegisterOGRGeoJSON();
    RegisterOGRLIBKML();
    RegisterOGRDXF();
}

}  // namespace

Dataset create_dataset(const char* driver_name, const std::filesystem::path& file,
                       const DriverOptions& options) {
    register_drivers();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(driver_name);
    if (driver == nullptr) {
        throw OutputError(fmt::format("This machine's GDAL cannot write {} files.", driver_name));
    }
    CPLErrorReset();
    Dataset dataset(driver->Create(file.c_str(), 0, 0, 0, GDT_Unknown, options.get()));
    if (!dataset) fail_output(file.filename().string());
    return dataset;
}

OGRFieldType field_type(ColumnType type) {
    switch (type) {
        case ColumnType::text: return OFTString;
        case ColumnType::real: return OFTReal;
        case ColumnType::integer: return OFTInteger64;
        case ColumnType::yes_no: return OFTInteger;
    }
    return OFTString;
}

void add_field(OGRLayer& layer, const Column& column) {
    OGRFieldDefn field(column.name.c_str(), field_type(column.type));
    if (column.type == ColumnType::yes_no) field.SetSubType(OFSTBoolean);
    if (layer.CreateField(&field) != OGRERR_NONE) fail_output("column " + column.name + ".");
}

void set_cell(OGRFeature& feature, int index, const CellValue& value) {
    if (const auto* words = std::get_if<std::string>(&value)) {
        feature.SetField(index, words->c_str());
    } else if (const auto* number = std::get_if<double>(&value)) {
        feature.SetField(index, *number);
    } else if (const auto* count = std::get_if<std::int64_t>(&value)) {
        feature.SetField(index, static_cast<GIntBig>(*count));
    } else if (const auto* flag = std::get_if<bool>(&value)) {
        feature.SetField(index, *flag ? 1 : 0);
    }
}

void write_feature(OGRLayer& layer, OGRFeature& feature) {
    CPLErrorReset();
    if (layer.CreateFeature(&feature) != OGRERR_NONE) {
        fail_output(fmt::format("a row of {}.", layer.GetName()));
    }
}

std::optional<OGRSpatialReference> spatial_reference(const std::string& crs) {
    OGRSpatialReference srs;
    if (crs == "local" || srs.SetFromUserInput(crs.c_str()) != OGRERR_NONE) return std::nullopt;
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return srs;
}

}  // namespace sondeline
