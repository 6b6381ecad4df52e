#include "survey/ground.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

namespace sondeline {

namespace {

// σ of the ground by source: the rod stood on the spot, a satellite receiver, a raster
// (adjustment section 7).
constexpr double levelled_sd_m = 0.004;
constexpr double given_sd_default_m = 0.03;
constexpr double terrain_sd_m = 0.15;

struct DatasetCloser {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};
struct TransformCloser {
    void operator()(OGRCoordinateTransformation* transform) const {
        OGRCoordinateTransformation::DestroyCT(transform);
    }
};

// One lot is level to within this; heights that differ by more do not count from one benchmark.
constexpr double most_relief_m = 15.0;

bool of_another_datum(const Estimate& elevation_m, const LevelNet& levels) {
    if (levels.points.empty()) return false;
    return std::ranges::all_of(levels.points, [&](const auto& point) {
        return std::abs(point.second.elevation_m.value - elevation_m.value) > most_relief_m;
    });
}

std::optional<Estimate> given_ground(const GroundSources& sources, const MaybeCell<double>& given_m,
                                     std::optional<double> given_sd_m,
                                     const std::optional<PlanPoint>& place) {
    if (!given_m) return std::nullopt;
    const auto at = place ? geographic_of(sources.frame, *place) : std::nullopt;
    const auto height_m = sources.given.on_map_m(given_m->value, at);
    if (!height_m) return std::nullopt;
    const bool meets_others = !sources.levels.points.empty() || sources.terrain;
    const double model_sd_m = meets_others ? sources.given.model_sd_m : 0.0;
    return Estimate{*height_m, std::hypot(given_sd_m.value_or(given_sd_default_m), model_sd_m)};
}

Finding unusable(const std::filesystem::path& file, const std::string& why) {
    Where where;
    where.file = file.filename().string();
    return {Severity::caution, where, "The terrain raster could not be used: " + why + ".",
            "Give ground elevations in the tables, or another raster.",
            Consequence::input_rejected};
}

}  // namespace

struct Terrain::Raster {
    std::unique_ptr<GDALDataset, DatasetCloser> dataset;
    std::unique_ptr<OGRCoordinateTransformation, TransformCloser>
        raster_from_map;  // null: the same
    LocalFrame frame;
    std::array<double, 6> pixel_from_raster{};
    std::optional<double> no_value;
};

std::optional<Terrain> Terrain::open(const std::filesystem::path& file, const SiteFrame& frame,
                                     Findings& findings) {
    GDALRegister_GTiff();
    CPLPushErrorHandler(CPLQuietErrorHandler);
    const char* drivers[] = {"GTiff", nullptr};
    auto raster = std::make_shared<Raster>();
    raster->frame = frame.frame;
    raster->dataset.reset(
        GDALDataset::Open(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers));
    std::array<double, 6> geo{};
    std::string why;
    if (!raster->dataset || raster->dataset->GetRasterCount() < 1) {
        why = "it is no GeoTIFF that can be read";
    } else if (raster->dataset->GetGeoTransform(geo.data()) != CE_None ||
               GDALInvGeoTransform(geo.data(), raster->pixel_from_raster.data()) == 0) {
        why = "it does not say where it lies";
    }
    if (why.empty() && frame.frame.crs != "local") {
        const OGRSpatialReference* of_raster = raster->dataset->GetSpatialRef();
        OGRSpatialReference of_map;
        of_map.SetFromUserInput(frame.frame.crs.c_str());
        of_map.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        if (of_raster == nullptr) {
            why = "it names no coordinate system";
        } else {
            OGRSpatialReference there(*of_raster);
            there.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
            raster->raster_from_map.reset(OGRCreateCoordinateTransformation(&of_map, &there));
            if (!raster->raster_from_map) why = "its coordinate system has no link to the map's";
        }
    }
    CPLPopErrorHandler();
    if (!why.empty()) {
        findings.push_back(unusable(file, why));
        return std::nullopt;
    }
    int has_no_value = 0;
    const double no_value = raster->dataset->GetRasterBand(1)->GetNoDataValue(&has_no_value);
    if (has_no_value != 0) raster->no_value = no_value;
    Terrain terrain;
    terrain.raster_ = std::move(raster);
    return terrain;
}

std::optional<double> Terrain::elevation_m(PlanPoint point) const {
    const MapPoint map = map_from_local(raster_->frame, point);
    double x = map.x;
    double y = map.y;
    if (raster_->raster_from_map && raster_->raster_from_map->Transform(1, &x, &y) == 0) {
        return std::nullopt;
    }
    const auto& g = raster_->pixel_from_raster;
    // Values stand for the middle of a cell.
    const double column = g[0] + g[1] * x + g[2] * y - 0.5;
    const double row = g[3] + g[4] * x + g[5] * y - 0.5;
    const int wide = raster_->dataset->GetRasterXSize();
    const int high = raster_->dataset->GetRasterYSize();
    if (!(column >= 0.0 && row >= 0.0 && column <= wide - 1.0 && row <= high - 1.0)) {
        return std::nullopt;
    }
    const int left = std::min(static_cast<int>(column), std::max(0, wide - 2));
    const int top = std::min(static_cast<int>(row), std::max(0, high - 2));
    if (wide < 2 || high < 2) return std::nullopt;
    std::array<double, 4> cells{};
    if (raster_->dataset->GetRasterBand(1)->RasterIO(GF_Read, left, top, 2, 2, cells.data(), 2, 2,
                                                     GDT_Float64, 0, 0) != CE_None) {
        return std::nullopt;
    }
    for (const double cell : cells) {
        if (!std::isfinite(cell) || (raster_->no_value && cell == *raster_->no_value)) {
            return std::nullopt;
        }
    }
    const double u = column - left;
    const double v = row - top;
    return (cells[0] * (1 - u) + cells[1] * u) * (1 - v) + (cells[2] * (1 - u) + cells[3] * u) * v;
}

GroundAt ground_at(const GroundSources& sources, const std::string& id,
                   const MaybeCell<double>& given_m, std::optional<double> given_sd_m,
                   const std::optional<PlanPoint>& place, Findings& findings) {
    const std::optional<Estimate> given = given_ground(sources, given_m, given_sd_m, place);
    const auto levelled = sources.levels.points.find(id);
    if (levelled != sources.levels.points.end()) {
        const Estimate& level = levelled->second.elevation_m;
        const Estimate ground{level.value, std::hypot(level.sd, levelled_sd_m)};
        if (given &&
            std::abs(given->value - ground.value) > 3.0 * std::hypot(given->sd, ground.sd)) {
            findings.push_back(
                {Severity::caution, where_is(given_m->source),
                 fmt::format("The ground at {} is given as {} but levelled as {}; the levels were "
                             "taken.",
                             id, length_words(given->value, sources.unit, 2),
                             length_words(ground.value, sources.unit, 2)),
                 "Check whether both heights count from the same benchmark."});
        }
        return {ground, "levelled"};
    }
    GroundAt ground;
    if (given) {
        ground = {given, "given"};
    } else if (sources.terrain && place) {
        if (const auto elevation_m = sources.terrain->elevation_m(*place)) {
            ground = {Estimate{*elevation_m, terrain_sd_m}, "terrain"};
        }
    }
    if (ground.elevation_m && of_another_datum(*ground.elevation_m, sources.levels)) {
        Where where;
        if (given_m) where = where_is(given_m->source);
        findings.push_back(
            {Severity::caution, where,
             fmt::format(
                 "The ground at {} is {} by {}, far from all that was levelled; it seems to "
                 "count from another datum and was not used.",
                 id, length_words(ground.elevation_m->value, sources.unit, 2),
                 given ? "the table" : "the terrain raster"),
             "Level this point as well, or give the benchmark its elevation in the same datum.",
             given ? Consequence::input_rejected : Consequence::none});
        return {};
    }
    return ground;
}

}  // namespace sondeline
