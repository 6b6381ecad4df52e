// Coordinate systems through PROJ. The one place that decides axis order: east or longitude first,
// north or latitude second, everywhere.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "sondeline/survey.hpp"

namespace sondeline {

struct GeographicPoint {
    double lon_deg = 0.0;
    double lat_deg = 0.0;
};

// A coordinate system of a map and its link to WGS 84. No network, no downloaded grids.
class MapProjection {
  public:
    // `crs` is anything PROJ knows: "EPSG:32617", a WKT or a PROJ string. Empty when it is nothing
    // that has plane or geographic coordinates.
    static std::optional<MapProjection> open(const std::string& crs);

    const std::string& name() const { return name_; }
    bool geographic() const { return geographic_; }
    double metres_per_unit() const { return metres_per_unit_; }

    // Map coordinates of a WGS 84 position; empty outside the area PROJ can map.
    std::optional<MapPoint> map_from_wgs84(GeographicPoint point) const;
    std::optional<GeographicPoint> wgs84_from_map(MapPoint point) const;

    // Of a projected system at a map point: map distance per distance on the ellipsoid (mean of
    // both directions), and how far grid north lies clockwise of true north.
    struct Distortion {
        double scale_factor = 1.0;
        double convergence_rad = 0.0;
    };
    std::optional<Distortion> distortion_at(MapPoint point) const;

  private:
    struct Handles;
    std::shared_ptr<Handles> handles_;
    std::string name_;
    bool geographic_ = false;
    double metres_per_unit_ = 1.0;
};

// "EPSG:32617": the UTM zone of a WGS 84 position.
std::string utm_zone_of(GeographicPoint point);

}  // namespace sondeline
