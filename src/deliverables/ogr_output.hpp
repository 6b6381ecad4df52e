// What every file written through OGR needs: an owned dataset, silence, errors that travel.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <ogrsf_frmts.h>

#include "deliverables/layer_table.hpp"

namespace sondeline {

struct DatasetCloser {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};
using Dataset = std::unique_ptr<GDALDataset, DatasetCloser>;

// GDAL prints its errors unless told not to; they travel in OutputError instead.
class QuietErrors {
  public:
    QuietErrors();
    ~QuietErrors();
    QuietErrors(const QuietErrors&) = delete;
    QuietErrors& operator=(const QuietErrors&) = delete;
};

using OptionList = std::vector<std::pair<const char*, std::string>>;

// "NAME=value" options of a driver, freed at the end.
class DriverOptions {
  public:
    explicit DriverOptions(const OptionList& options);
    ~DriverOptions();
    DriverOptions(const DriverOptions&) = delete;
    DriverOptions& operator=(const DriverOptions&) = delete;
    char** get() const { return list_; }

  private:
    char** list_ = nullptr;
};

// Throws OutputError with what GDAL last said.
[[noreturn]] void fail_output(const std::string& what);

// A new vector file; throws OutputError when the driver is missing or refuses.
Dataset create_dataset(const char* driver, const std::filesystem::path& file,
                       const DriverOptions& options);

OGRFieldType field_type(ColumnType type);

// Adds a field for the column; throws OutputError when the driver refuses.
void add_field(OGRLayer& layer, const Column& column);

// Sets a field; what was not measured is left as it is.
void set_cell(OGRFeature& feature, int index, const CellValue& value);

void write_feature(OGRLayer& layer, OGRFeature& feature);

// The coordinate system of the map; empty for a local frame or a code nobody knows.
std::optional<OGRSpatialReference> spatial_reference(const std::string& crs);

}  // namespace sondeline
