// A shared map that is open for one publisher.
#pragma once

#include <memory>
#include <stdexcept>

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "sondeline/service.hpp"

namespace sondeline {

struct MapError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

// `what`, and what GDAL said last.
[[noreturn]] void map_fails(const std::string& what);

// Opens or makes the map `to` and begins a transaction; commit() ends it. Destroyed before that,
// the map is as it was. Other publishers wait meanwhile. Throws MapError.
class SharedMap {
  public:
    SharedMap(std::string to, const std::string& crs_of_new);
    ~SharedMap();
    SharedMap(const SharedMap&) = delete;
    SharedMap& operator=(const SharedMap&) = delete;

    // In longitude, latitude or easting, northing order.
    const OGRSpatialReference& srs() const { return srs_; }

    // The layer of that name with at least the fields of `like` and a column job; made when absent.
    OGRLayer& layer(const std::string& name, const OGRFeatureDefn& like);

    void commit();

  private:
    // Let go, and removed, however the map is left, a constructor that throws included.
    struct Turn {
        int descriptor = -1;  // lock file of a GeoPackage
        ~Turn();
    };
    struct NewFile {
        std::filesystem::path path;  // a map that is being made, under its hidden name
        ~NewFile();
    };

    void take_turn();
    void open(const std::string& crs_of_new);
    void make_file();

    std::string to_;
    bool database_ = false;
    Turn turn_;
    NewFile new_file_;
    OGRSpatialReference srs_;
    GDALDatasetUniquePtr map_;
    bool open_ = false;
};

// A literal of SQL and of OGR's filters.
std::string quoted_literal(std::string_view text);

}  // namespace sondeline
