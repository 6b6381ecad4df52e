#include "survey/map_projection.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <proj.h>
#include <proj_experimental.h>

#include "terms/units.hpp"

namespace sondeline {

namespace {

struct ContextCloser {
    void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
};
struct PjCloser {
    void operator()(PJ* pj) const { proj_destroy(pj); }
};
using Pj = std::unique_ptr<PJ, PjCloser>;

bool finite(const PJ_COORD& coord) {
    return std::isfinite(coord.xy.x) && std::isfinite(coord.xy.y);
}

bool is_geographic(PJ_TYPE type) {
    return type == PJ_TYPE_GEOGRAPHIC_2D_CRS || type == PJ_TYPE_GEOGRAPHIC_3D_CRS;
}

// The horizontal part of a compound or bound system, else the system itself.
Pj horizontal_part(PJ_CONTEXT* context, Pj crs) {
    for (int depth = 0; depth < 4; ++depth) {
        const PJ_TYPE type = proj_get_type(crs.get());
        if (type == PJ_TYPE_COMPOUND_CRS) {
            crs.reset(proj_crs_get_sub_crs(context, crs.get(), 0));
        } else if (type == PJ_TYPE_BOUND_CRS) {
            crs.reset(proj_get_source_crs(context, crs.get()));
        } else {
            break;
        }
        if (!crs) return crs;
    }
    return crs;
}

double axis_unit_in_metres(PJ_CONTEXT* context, const PJ* crs) {
    const Pj system(proj_crs_get_coordinate_system(context, crs));
    double factor = 1.0;
    if (!system || proj_cs_get_axis_info(context, system.get(), 0, nullptr, nullptr, nullptr,
                                         &factor, nullptr, nullptr, nullptr) == 0) {
        return 1.0;
    }
    return factor;
}

}  // namespace

struct MapProjection::Handles {
    std::unique_ptr<PJ_CONTEXT, ContextCloser> context;
    Pj crs;
    Pj map_from_wgs84;
};

std::optional<MapProjection> MapProjection::open(const std::string& crs) {
    auto handles = std::make_shared<Handles>();
    handles->context.reset(proj_context_create());
    PJ_CONTEXT* context = handles->context.get();
    proj_log_level(context, PJ_LOG_NONE);
    proj_context_set_enable_network(context, 0);
    // "+type=crs" makes a bare PROJ string a coordinate system instead of an operation.
    const std::string words = crs.starts_with("+proj") && crs.find("+type=crs") == std::string::npos
                                  ? crs + " +type=crs"
                                  : crs;
    Pj whole(proj_create(context, words.c_str()));
    if (!whole || proj_is_crs(whole.get()) == 0) return std::nullopt;
    handles->crs = horizontal_part(context, std::move(whole));
    if (!handles->crs) return std::nullopt;
    const PJ_TYPE type = proj_get_type(handles->crs.get());
    if (type != PJ_TYPE_PROJECTED_CRS && !is_geographic(type)) return std::nullopt;

    const Pj wgs84(proj_create(context, "EPSG:4326"));
    if (!wgs84) return std::nullopt;
    const Pj plain(
        proj_create_crs_to_crs_from_pj(context, wgs84.get(), handles->crs.get(), nullptr, nullptr));
    if (!plain) return std::nullopt;
    handles->map_from_wgs84.reset(proj_normalize_for_visualization(context, plain.get()));
    if (!handles->map_from_wgs84) return std::nullopt;

    MapProjection projection;
    projection.geographic_ = is_geographic(type);
    projection.name_ = proj_get_name(handles->crs.get());
    if (!projection.geographic_) {
        projection.metres_per_unit_ = axis_unit_in_metres(context, handles->crs.get());
    }
    projection.handles_ = std::move(handles);
    return projection;
}

std::optional<MapPoint> MapProjection::map_from_wgs84(GeographicPoint point) const {
    const PJ_COORD in = proj_coord(point.lon_deg, point.lat_deg, 0.0, 0.0);
    const PJ_COORD out = proj_trans(handles_->map_from_wgs84.get(), PJ_FWD, in);
    if (!finite(out)) return std::nullopt;
    return MapPoint{out.xy.x, out.xy.y};
}

std::optional<GeographicPoint> MapProjection::wgs84_from_map(MapPoint point) const {
    const PJ_COORD in = proj_coord(point.x, point.y, 0.0, 0.0);
    const PJ_COORD out = proj_trans(handles_->map_from_wgs84.get(), PJ_INV, in);
    if (!finite(out)) return std::nullopt;
    return GeographicPoint{out.xy.x, out.xy.y};
}

std::optional<MapProjection::Distortion> MapProjection::distortion_at(MapPoint point) const {
    if (geographic_) return std::nullopt;
    PJ_CONTEXT* context = handles_->context.get();
    // Factors are asked at a position of the projected system's own datum.
    const Pj base(proj_crs_get_geodetic_crs(context, handles_->crs.get()));
    if (!base) return std::nullopt;
    const Pj plain(
        proj_create_crs_to_crs_from_pj(context, base.get(), handles_->crs.get(), nullptr, nullptr));
    if (!plain) return std::nullopt;
    const Pj map_from_base(proj_normalize_for_visualization(context, plain.get()));
    if (!map_from_base) return std::nullopt;
    const PJ_COORD at =
        proj_trans(map_from_base.get(), PJ_INV, proj_coord(point.x, point.y, 0.0, 0.0));
    if (!finite(at)) return std::nullopt;
    const PJ_COORD at_rad = proj_coord(at.lp.lam * degree_rad, at.lp.phi * degree_rad, 0.0, 0.0);
    // The same projection in metres: for systems in feet proj_factors of PROJ 9.1 gives factors
    // that are millions of times too large.
    const Pj in_metres(proj_crs_alter_cs_linear_unit(context, handles_->crs.get(), "metre", 1.0,
                                                     nullptr, nullptr));
    if (!in_metres) return std::nullopt;
    const PJ_FACTORS factors = proj_factors(in_metres.get(), at_rad);
    constexpr double least = 0.1;  // no map that is used at a site is drawn beyond these
    constexpr double most = 10.0;
    if (proj_errno(in_metres.get()) != 0 || !(factors.meridional_scale > least) ||
        !(factors.meridional_scale < most)) {
        return std::nullopt;
    }
    return Distortion{(factors.meridional_scale + factors.parallel_scale) / 2.0,
                      factors.meridian_convergence};
}

std::string utm_zone_of(GeographicPoint point) {
    const int zone =
        std::clamp(static_cast<int>(std::floor((point.lon_deg + 180.0) / 6.0)) + 1, 1, 60);
    return fmt::format("EPSG:{}", (point.lat_deg >= 0.0 ? 32600 : 32700) + zone);
}

}  // namespace sondeline
