#include <algorithm>
#include <array>
#include <memory>

#include <fmt/format.h>

#include "intake/grid.hpp"
#include "intake/map_crs.hpp"
#include "intake/open_dataset.hpp"
#include "intake/text.hpp"

namespace sondeline {

namespace {

struct Placed {
    bool geographic = true;
    double x = 0.0;
    double y = 0.0;
};

// From the file's coordinates to what the table can say: degrees, or the map's own x and y. The
// inverse projection stays on the file's own datum, so nothing is shifted here.
class Positions {
  public:
    Positions(const OGRSpatialReference* file_crs, const std::string& map_crs) {
        if (file_crs == nullptr) return;
        OGRSpatialReference own(*file_crs);
        own.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        if (own.IsGeographic()) {
            kind_ = Kind::degrees;
            return;
        }
        if (const auto map = epsg_crs(map_crs); map && map->IsSame(&own) != 0) return;
        const std::unique_ptr<OGRSpatialReference> base(own.CloneGeogCS());
        if (!base) return;
        base->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        degrees_from_file_.reset(OGRCreateCoordinateTransformation(&own, base.get()));
        kind_ = Kind::projected;
    }

    std::optional<Placed> of(const OGRPoint& point) const {
        Placed placed{kind_ != Kind::as_it_stands, point.getX(), point.getY()};
        if (kind_ == Kind::projected &&
            (!degrees_from_file_ || !degrees_from_file_->Transform(1, &placed.x, &placed.y))) {
            return std::nullopt;
        }
        return placed;
    }

  private:
    enum class Kind { as_it_stands, degrees, projected };
    Kind kind_ = Kind::as_it_stands;
    std::unique_ptr<OGRCoordinateTransformation> degrees_from_file_;
};

// A point, also when it is the only one of a multipoint.
const OGRPoint* point_of(const OGRGeometry* geometry) {
    if (geometry == nullptr || geometry->IsEmpty()) return nullptr;
    const auto type = wkbFlatten(geometry->getGeometryType());
    if (type == wkbPoint) return geometry->toPoint();
    if (type != wkbMultiPoint) return nullptr;
    const OGRMultiPoint* points = geometry->toMultiPoint();
    return points->getNumGeometries() == 1 ? points->getGeometryRef(0) : nullptr;
}

// The layer called like the file, else the waypoints, else the first.
OGRLayer* layer_of(GDALDataset& dataset, const std::string& stem) {
    OGRLayer* chosen = nullptr;
    for (OGRLayer* layer : dataset.GetLayers()) {
        const std::string name = normalised(layer->GetName());
        if (name == stem) return layer;
        if (chosen == nullptr || name == "waypoints") chosen = layer;
    }
    return chosen;
}

// Waypoints call things otherwise than the tables do. Fields of extensions come as ogr_run and so
// on.
std::string waypoint_header(const std::string& name) {
    if (name == "name") return "id";
    if (name == "ele") return "ground (m)";
    if (name == "desc") return "note";
    return name.starts_with("ogr_") ? name.substr(4) : name;
}

// The columns that the geometry makes; the header row holds their names in the same order.
constexpr std::size_t kPlaceColumns = 5;
const std::vector<std::string> kPlaceHeaders{"lon", "lat", "x", "y", "ground (m)"};

std::vector<std::string> place_cells(const OGRPoint& point, const Placed& placed) {
    std::vector<std::string> cells(kPlaceColumns);
    cells[placed.geographic ? 0 : 2] = fmt::format("{:.12g}", placed.x);
    cells[placed.geographic ? 1 : 3] = fmt::format("{:.12g}", placed.y);
    if (point.Is3D()) cells[4] = fmt::format("{:.12g}", point.getZ());
    return cells;
}

// Removes columns without any value, and heights that are nought throughout: a format that demands
// a height gets noughts when there is none.
void remove_empty_columns(Grid& grid, std::size_t z_column) {
    if (grid.rows.empty()) return;
    for (std::size_t c = grid.rows.front().cells.size(); c-- > 0;) {
        const auto says_nothing = [&](const GridRow& row) {
            return row.cells[c].empty() || (c == z_column && row.cells[c] == "0");
        };
        if (!std::all_of(grid.rows.begin() + 1, grid.rows.end(), says_nothing)) continue;
        for (GridRow& row : grid.rows) {
            row.cells.erase(row.cells.begin() + static_cast<std::ptrdiff_t>(c));
        }
    }
}

// A position in a column beside the geometry would be a second one: it is kept as an attribute.
std::string beside_geometry(const std::string& name) {
    static constexpr std::array<std::string_view, 8> kPositions{
        "lon", "lat", "longitude", "latitude", "x", "y", "easting", "northing"};
    const bool position = std::ranges::find(kPositions, normalised(name)) != kPositions.end();
    return position ? name + " column" : name;
}

bool has_ground_column(const std::vector<std::string>& header) {
    return std::ranges::any_of(header, [](const std::string& name) {
        const std::string column = normalised(name);
        return column.starts_with("ground") && !column.starts_with("ground acc");
    });
}

std::vector<std::string> header_of(OGRLayer& layer, bool waypoints) {
    std::vector<std::string> header;
    const OGRFeatureDefn& fields = *layer.GetLayerDefn();
    for (int field = 0; field < fields.GetFieldCount(); ++field) {
        const std::string name = clean_utf8(fields.GetFieldDefn(field)->GetNameRef());
        header.push_back(beside_geometry(waypoints ? waypoint_header(name) : name));
    }
    const bool height_twice = has_ground_column(header);
    header.insert(header.end(), kPlaceHeaders.begin(), kPlaceHeaders.end());
    if (height_twice) header.back() = "height column";
    return header;
}

std::vector<std::string> cells_of(const OGRFeature& feature, const Positions& positions,
                                  const SourceCell& source, FindingLog& log) {
    std::vector<std::string> cells;
    for (int field = 0; field < feature.GetFieldCount(); ++field) {
        const bool set = feature.IsFieldSetAndNotNull(field);
        cells.emplace_back(set ? trim(clean_utf8(feature.GetFieldAsString(field))) : "");
    }
    std::vector<std::string> place(kPlaceColumns);
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (const OGRPoint* point = point_of(geometry)) {
        if (const auto placed = positions.of(*point)) {
            place = place_cells(*point, *placed);
        } else {
            log.problem(source, "The position cannot be turned into longitude and latitude.",
                        "Check the coordinate system the file was saved in.");
        }
    } else if (geometry != nullptr && !geometry->IsEmpty()) {
        log.problem(source,
                    fmt::format("The shape is a {}, not a point.", geometry->getGeometryName()),
                    "Give every row of this table as one point.");
    }
    cells.insert(cells.end(), place.begin(), place.end());
    return cells;
}

void mention_crs_and_heights(const Grid& grid, bool has_crs, FindingLog& log) {
    const SourceCell whole{grid.file, 0, ""};
    const auto has = [&](const char* name) {
        return !grid.rows.empty() &&
               std::ranges::find(grid.rows.front().cells, name) != grid.rows.front().cells.end();
    };
    if (!has_crs && has("x")) {
        log.caution(whole,
                    "The file does not say its coordinate system; it was taken for the map's.",
                    "Save it with its coordinate system, and name the map's in the job table.");
    }
    if (has("ground (m)")) {
        log.info(whole, "The heights of the points were taken as ground elevations in metres.",
                 "Leave them out if the receiver was not on the ground, or give a ground column.");
    }
}

}  // namespace

Grid read_points(const TableFile& file, const std::string& map_crs, FindingLog& log) {
    const OgrSilence silence;
    Grid grid{file.name, {}, false};
    const char* const drivers[] = {"GPX", "GeoJSON", "GPKG", "ESRI Shapefile", nullptr};
    const GDALDatasetUniquePtr dataset = open_dataset(file, drivers, log);
    if (!dataset) return grid;
    OGRLayer* layer = layer_of(*dataset, normalised(file.path.stem().string()));
    if (layer == nullptr) return grid;
    const bool waypoints = lower_case(file.path.extension().string()) == ".gpx";
    const OGRSpatialReference* crs = layer->GetSpatialRef();
    const Positions positions(crs, map_crs);
    grid.rows.push_back({0, header_of(*layer, waypoints)});
    const std::size_t columns = grid.rows.front().cells.size();
    for (const auto& feature : *layer) {
        const int row = static_cast<int>(grid.rows.size());
        if (grid.rows.size() * columns > kMostCells) {
            log.problem({file.name, row, ""},
                        "The file is too large; points from here on were not read.",
                        "Keep only the points of this job in it.");
            break;
        }
        grid.rows.push_back({row, cells_of(*feature, positions, {file.name, row, ""}, log)});
    }
    report_errors(file, log);
    remove_empty_columns(grid, columns - 1);
    mention_crs_and_heights(grid, crs != nullptr, log);
    return grid;
}

}  // namespace sondeline
