#include "intake/open_dataset.hpp"

#include <fmt/format.h>

#include "intake/text.hpp"

namespace sondeline {

namespace {

// Registering a driver twice does nothing, and these are far fewer than all of GDAL's.
void register_drivers() {
    RegisterOGRXLSX();
    RegisterOGRODS();
    RegisterOGRGPX();
    RegisterOGRGeoJSON();
    RegisterOGRGeoPackage();
    RegisterOGRShape();
}

std::string reason() {
    const std::string message = clean_utf8(CPLGetLastErrorMsg());
    return message.empty() ? std::string() : fmt::format(" ({})", message.substr(0, 200));
}

}  // namespace

GDALDatasetUniquePtr open_dataset(const TableFile& file, const char* const* drivers,
                                  FindingLog& log) {
    register_drivers();
    CPLErrorReset();
    GDALDatasetUniquePtr dataset(GDALDataset::Open(
        file.path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!dataset) {
        log.problem({file.name, 0, ""},
                    fmt::format("The file cannot be read as its name says{}.", reason()),
                    "Export it again, or give the same table as CSV.");
    }
    return dataset;
}

void report_errors(const TableFile& file, FindingLog& log) {
    if (CPLGetLastErrorType() != CE_Failure) return;
    log.problem({file.name, 0, ""},
                fmt::format("The file is damaged; rows may be missing{}.", reason()),
                "Export it again, or give the same table as CSV.");
}

}  // namespace sondeline
