// asbuilt.gpkg as a reader sees it, opened read-only through OGR.
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

namespace sondeline {

class MapReader {
  public:
    explicit MapReader(const std::filesystem::path& file) {
        GDALAllRegister();
        dataset_.reset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    }

    OGRLayer* layer(const std::string& name) const {
        return dataset_->GetLayerByName(name.c_str());
    }

    // The row that the map counts as `row`, from 1; null when there is none.
    std::unique_ptr<OGRFeature> row(const std::string& layer_name, int row) const {
        OGRLayer* found = layer(layer_name);
        return std::unique_ptr<OGRFeature>(found == nullptr ? nullptr : found->GetFeature(row));
    }

    // The one value of a query, as text.
    std::string value(const std::string& sql) const {
        OGRLayer* result = dataset_->ExecuteSQL(sql.c_str(), nullptr, "SQLITE");
        if (result == nullptr) return "no result";
        std::string text;
        if (const std::unique_ptr<OGRFeature> first{result->GetNextFeature()}) {
            text = first->GetFieldAsString(0);
        }
        dataset_->ReleaseResultSet(result);
        return text;
    }

  private:
    std::unique_ptr<GDALDataset> dataset_;
};

}  // namespace sondeline
