// Map geometry as WGS 84 longitude and latitude.
#pragma once

#include "deliverables/ogr_output.hpp"

namespace sondeline {

class Wgs84FromMap {
  public:
    // Throws OutputError for a coordinate system that cannot be turned into WGS 84.
    explicit Wgs84FromMap(const std::string& crs);

    // A point or line in degrees, without heights; empty for no geometry.
    std::unique_ptr<OGRGeometry> operator()(LayerGeometry kind,
                                            const std::vector<Vertex>& vertices) const;

    OGRSpatialReference* wgs84() const { return wgs84_.get(); }

  private:
    struct Releaser {
        void operator()(OGRSpatialReference* srs) const { srs->Release(); }
    };
    std::unique_ptr<OGRSpatialReference, Releaser> wgs84_;
    std::unique_ptr<OGRCoordinateTransformation> transformation_;
};

}  // namespace sondeline
