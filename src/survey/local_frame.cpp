#include "survey/local_frame.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include <fmt/format.h>

namespace sondeline {

namespace {

std::vector<const TypedPosition*> typed_positions(const Job& job) {
    std::vector<const TypedPosition*> positions;
    for (const Structure& structure : job.structures) {
        if (structure.position) positions.push_back(&*structure.position);
    }
    for (const Fix& fix : job.fixes) {
        if (fix.position) positions.push_back(&*fix.position);
    }
    return positions;
}

const TypedPosition* first_geographic(const std::vector<const TypedPosition*>& positions) {
    const auto found = std::ranges::find_if(
        positions, [](const TypedPosition* typed) { return typed->geographic; });
    return found == positions.end() ? nullptr : *found;
}

// Mean of all heights of the ground in the tables; empty when there are none above the sea.
std::optional<double> mean_ground_m(const Job& job) {
    if (heights_are_local(job.settings)) return std::nullopt;
    double sum = 0.0;
    int count = 0;
    const auto add = [&](double height_m) {
        sum += height_m;
        ++count;
    };
    for (const Structure& structure : job.structures) {
        if (structure.ground_m) add(structure.ground_m->value);
    }
    for (const Fix& fix : job.fixes) {
        if (fix.ground_m) add(fix.ground_m->value);
    }
    for (const LevelReading& reading : job.levels) {
        if (reading.elevation_m) add(*reading.elevation_m);
    }
    return count > 0 ? std::optional(sum / count) : std::nullopt;
}

Where in_job_table(const char* column) {
    Where where;
    where.file = "job";
    where.column = column;
    return where;
}

// A geographic coordinate system cannot hold lengths: the map then takes the UTM zone, and x, y are
// read as longitude and latitude.
void use_utm_for_geographic(SiteFrame& site, const std::vector<const TypedPosition*>& positions,
                            Findings& findings) {
    site.typed_projection = std::move(site.projection);
    site.projection.reset();
    if (positions.empty()) return;
    const TypedPosition& first = *positions.front();
    const auto wgs84 = first.geographic ? std::optional(GeographicPoint{first.x, first.y})
                                        : site.typed_projection->wgs84_from_map({first.x, first.y});
    if (!wgs84) return;
    site.frame.crs = utm_zone_of(*wgs84);
    site.projection = MapProjection::open(site.frame.crs);
    findings.push_back({Severity::info, in_job_table("crs"),
                        fmt::format("The job's coordinate system is in degrees, in which no length "
                                    "can be drawn; the map is in {} instead.",
                                    site.frame.crs),
                        "Name a projected system in the job table for another one."});
}

void open_job_crs(SiteFrame& site, const Job& job,
                  const std::vector<const TypedPosition*>& positions, Findings& findings) {
    const std::string& crs = job.settings.crs;
    const TypedPosition* geographic = first_geographic(positions);
    if (!crs.empty() && crs != "local") {
        site.frame.crs = crs;
        site.projection = MapProjection::open(crs);
        if (site.projection) {
            site.frame.coordinate_source = "the job's coordinate system";
            if (site.projection->geographic()) use_utm_for_geographic(site, positions, findings);
            return;
        }
        findings.push_back({Severity::problem, in_job_table("crs"),
                            fmt::format("The coordinate system '{}' is not known.", crs),
                            "Write it like EPSG:32617, or `local`.", Consequence::input_rejected});
    }
    site.frame.crs = "local";
    site.frame.coordinate_source = positions.empty() ? "none" : "local coordinates";
    if (geographic == nullptr) return;
    site.frame.crs = utm_zone_of({geographic->x, geographic->y});
    site.frame.coordinate_source = "positions with lon and lat";
    site.plane_has_no_system = true;
    site.projection = MapProjection::open(site.frame.crs);
}

std::optional<MapPoint> map_point(const SiteFrame& site, const TypedPosition& typed) {
    if (typed.geographic) {
        if (!site.projection) return std::nullopt;
        return site.projection->map_from_wgs84({typed.x, typed.y});
    }
    if (site.plane_has_no_system) return std::nullopt;
    if (!site.typed_projection) return MapPoint{typed.x, typed.y};
    const auto wgs84 = site.typed_projection->wgs84_from_map({typed.x, typed.y});
    if (!wgs84 || !site.projection) return std::nullopt;
    return site.projection->map_from_wgs84(*wgs84);
}

void set_origin(SiteFrame& site, const std::vector<const TypedPosition*>& positions) {
    for (const TypedPosition* typed : positions) {
        const auto map = map_point(site, *typed);
        if (!map) continue;
        // Whole units, so that local coordinates stay easy to check by hand.
        site.frame.origin_x = std::floor(map->x);
        site.frame.origin_y = std::floor(map->y);
        return;
    }
}

// Zones of UTM hold lengths to 0.1 % within their six degrees, and better systems are better still
// (John P. Snyder, Map Projections: A Working Manual, USGS PP 1395, 1987, from memory). Figures are
// true whatever the map; what is measured in the map is not.
void tell_stretched_map(const SiteFrame& site, double scale_factor, Findings& findings) {
    constexpr double stretched = 0.0025;
    const double off = scale_factor - 1.0;
    if (std::abs(off) < stretched) return;
    const auto wgs84 = site.projection->wgs84_from_map({site.frame.origin_x, site.frame.origin_y});
    findings.push_back(
        {Severity::caution, in_job_table("crs"),
         fmt::format("{} ({}) is not meant for this place: what is measured in the map is {:.1f} % "
                     "{} than on the ground. The lengths that are given are true.",
                     site.frame.crs, site.frame.crs_name, 100.0 * std::abs(off),
                     off > 0.0 ? "longer" : "shorter"),
         fmt::format("Name the system of the place in the job table{}.",
                     wgs84 ? ", like " + utm_zone_of(*wgs84) : "")});
}

// grid = true − convergence; grid = magnetic + declination − convergence.
std::optional<double> grid_from_job(const Job& job, const LocalFrame& frame, Findings& findings) {
    switch (job.settings.north) {
        case NorthReference::grid: return 0.0;
        case NorthReference::true_north: return -frame.convergence_rad;
        case NorthReference::magnetic: break;
    }
    if (job.settings.declination_rad) {
        return *job.settings.declination_rad - frame.convergence_rad;
    }
    findings.push_back({Severity::caution, in_job_table("declination"),
                        "Headings are from magnetic north, but no declination is given; they were "
                        "not used.",
                        "Give the declination of the place and day in the job table."});
    return std::nullopt;
}

}  // namespace

bool heights_are_local(const JobSettings& settings) {
    std::string datum = settings.vertical_datum;
    std::ranges::transform(datum, datum.begin(),
                           [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return datum.empty() || datum == "local";
}

double elevation_factor(double height_m) {
    constexpr double mean_radius_m = 6'372'000.0;
    return mean_radius_m / (mean_radius_m + height_m);
}

SiteFrame choose_frame(const Job& job, Findings& findings) {
    const std::vector<const TypedPosition*> positions = typed_positions(job);
    SiteFrame site;
    open_job_crs(site, job, positions, findings);
    set_origin(site, positions);
    if (site.projection) {
        site.frame.crs_name = site.projection->name();
        site.frame.metres_per_map_unit = site.projection->metres_per_unit();
        const auto distortion =
            site.projection->distortion_at({site.frame.origin_x, site.frame.origin_y});
        if (distortion) {
            site.frame.scale_factor =
                distortion->scale_factor * elevation_factor(mean_ground_m(job).value_or(0.0));
            site.frame.convergence_rad = distortion->convergence_rad;
            tell_stretched_map(site, distortion->scale_factor, findings);
        }
    }
    site.grid_from_job_rad = grid_from_job(job, site.frame, findings);
    return site;
}

std::optional<PlanPoint> local_from_typed(const SiteFrame& site, const TypedPosition& typed,
                                          Findings& findings) {
    const auto map = map_point(site, typed);
    if (!map) {
        findings.push_back(
            {Severity::caution, where_is(typed.source),
             typed.geographic && !site.projection
                 ? "A position in degrees has no place in a local coordinate system."
             : !typed.geographic && site.plane_has_no_system
                 ? "x and y are given without a coordinate system, beside positions in degrees."
                 : "The position lies outside the area of the map's coordinate system.",
             "Check the coordinates and the coordinate system in the job table.",
             Consequence::input_rejected});
        return std::nullopt;
    }
    const double unit_m = site.frame.metres_per_map_unit;
    const PlanPoint local{(map->x - site.frame.origin_x) * unit_m,
                          (map->y - site.frame.origin_y) * unit_m};
    constexpr double farthest_m = 20'000.0;
    if (std::hypot(local.e_m, local.n_m) > farthest_m) {
        findings.push_back(
            {Severity::caution, where_is(typed.source),
             fmt::format("The position lies {:.0f} km from the first one of the job; "
                         "it was not used.",
                         std::hypot(local.e_m, local.n_m) / 1000.0),
             "Check for mixed up columns or a missing minus sign.", Consequence::input_rejected});
        return std::nullopt;
    }
    return local;
}

MapPoint map_from_local(const LocalFrame& frame, PlanPoint point) {
    return {frame.origin_x + point.e_m / frame.metres_per_map_unit,
            frame.origin_y + point.n_m / frame.metres_per_map_unit};
}

}  // namespace sondeline
