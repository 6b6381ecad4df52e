#include "deliverables/exchange/wgs84.hpp"

namespace sondeline {

Wgs84FromMap::Wgs84FromMap(const std::string& crs) : wgs84_(new OGRSpatialReference) {
    wgs84_->SetWellKnownGeogCS("WGS84");
    wgs84_->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    auto map = spatial_reference(crs);
    if (map) transformation_.reset(OGRCreateCoordinateTransformation(&*map, wgs84_.get()));
    if (!transformation_) fail_output("longitude and latitude from " + crs + ".");
}

std::unique_ptr<OGRGeometry> Wgs84FromMap::operator()(LayerGeometry kind,
                                                      const std::vector<Vertex>& vertices) const {
    if (vertices.empty()) return nullptr;
    std::unique_ptr<OGRGeometry> geometry;
    if (kind == LayerGeometry::line_zm) {
        auto line = std::make_unique<OGRLineString>();
        for (const Vertex& vertex : vertices) line->addPoint(vertex.x, vertex.y);
        geometry = std::move(line);
    } else {
        geometry = std::make_unique<OGRPoint>(vertices.front().x, vertices.front().y);
    }
    if (geometry->transform(transformation_.get()) != OGRERR_NONE) {
        fail_output("longitude and latitude of a place.");
    }
    return geometry;
}

}  // namespace sondeline
