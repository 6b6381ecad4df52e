// asbuilt.gpkg against OGC 12-128r18 (GeoPackage 1.3): what a desktop GIS relies on.
#include <array>
#include <cmath>
#include <fstream>
#include <map>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "deliverables/made_set.hpp"
#include "deliverables/map_reader.hpp"

namespace sondeline {
namespace {

using nlohmann::json;

TEST(Geopackage, IsAcceptedByTheValidatorOfGdal) {
    const MadeSet set;
    // osgeo_utils.samples.validate_gpkg comes with Debian's python3-gdal.
    EXPECT_EQ(output_of(fmt::format(
                  "/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg --extra '{}' 2>&1",
                  set.file("asbuilt.gpkg").string())),
              "");
}

TEST(Geopackage, SaysWhatItsGeometriesHold) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    // Table 6 of the specification: 1 is mandatory, 0 is prohibited.
    for (const auto& [layer, m] : {std::pair{"pipe_runs", "1"}, std::pair{"stations", "1"},
                                   std::pair{"bellies", "1"}, std::pair{"structures", "0"}}) {
        const std::string of =
            fmt::format(" FROM gpkg_geometry_columns WHERE table_name = '{}'", layer);
        EXPECT_EQ(map.value("SELECT z" + of), "1") << layer;
        EXPECT_EQ(map.value("SELECT m" + of), m) << layer;
        EXPECT_EQ(map.value("SELECT srs_id" + of), "32615") << layer;  // UTM zone 15 N, EPSG
        EXPECT_EQ(map.value(fmt::format("SELECT count(*) FROM gpkg_extensions WHERE table_name = "
                                        "'{}' AND extension_name = 'gpkg_rtree_index'",
                                        layer)),
                  "1");
    }
}

// The rod at the box read as 4.06 for 5.06: told by the ground and the pipes around it.
TEST(Geopackage, ShowsNoHeightThatWasFoundWrong) {
    const MadeSet set([](const std::filesystem::path& folder) {
        std::string levels = text_of(folder / "levels.csv");
        const std::string box = "1,box,,5.06,";
        levels.replace(levels.find(box), box.size(), "1,box,,4.06,");
        std::ofstream(folder / "levels.csv") << levels;
    });
    const MapReader map(set.file("asbuilt.gpkg"));
    const auto of = [&](const char* column, const char* structure) {
        return map.value(
            fmt::format("SELECT {} FROM structures WHERE structure_id = '{}'", column, structure));
    };
    EXPECT_EQ(of("ground_m IS NULL", "box"), "1");
    EXPECT_EQ(of("z_sd_m IS NULL", "box"), "1");
    EXPECT_EQ(of("ST_Z(geom)", "box"), "0");
    EXPECT_THAT(of("ground_source", "box"), testing::HasSubstr("not used"));
    EXPECT_EQ(of("ground_m IS NULL", "tank out"), "0");
    EXPECT_EQ(map.value("SELECT count(*) FROM fixes WHERE ground_used"), "27");
}

TEST(Geopackage, StatesTheExtentOfEveryLayer) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    for (const char* name : {"pipe_runs", "structures", "fixes", "stations", "bellies"}) {
        OGREnvelope seen;
        OGRLayer* layer = map.layer(name);
        ASSERT_NE(layer, nullptr) << name;
        for (const auto& feature : *layer) {
            OGREnvelope one;
            feature->GetGeometryRef()->getEnvelope(&one);
            seen.Merge(one);
        }
        const auto stated = [&](const char* column) {
            return std::stod(map.value(
                fmt::format("SELECT {} FROM gpkg_contents WHERE table_name = '{}'", column, name)));
        };
        EXPECT_NEAR(stated("min_x"), seen.MinX, 1e-3) << name;
        EXPECT_NEAR(stated("max_x"), seen.MaxX, 1e-3) << name;
        EXPECT_NEAR(stated("min_y"), seen.MinY, 1e-3) << name;
        EXPECT_NEAR(stated("max_y"), seen.MaxY, 1e-3) << name;
    }
}

TEST(Geopackage, DescribesEveryFieldAndNamesItsSources) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    for (const char* name : {"pipe_runs", "structures", "fixes", "records_check", "findings"}) {
        const int fields = map.layer(name)->GetLayerDefn()->GetFieldCount();
        EXPECT_EQ(map.value(fmt::format("SELECT count(description) FROM gpkg_data_columns WHERE "
                                        "table_name = '{}'",
                                        name)),
                  std::to_string(fields));
    }
    const json lineage = json::parse(map.value("SELECT metadata FROM gpkg_metadata"));
    EXPECT_THAT(lineage.at("made_by").get<std::string>(), testing::StartsWith("sondeline "));
    std::map<std::string, std::string> hashes;
    for (const json& input : lineage.at("inputs")) hashes[input.at("file")] = input.at("sha256");
    // sha256sum of GNU coreutils is the peer.
    const std::string said =
        output_of(fmt::format("sha256sum < '{}'", (set.folder() / "fixes.csv").string()));
    EXPECT_EQ(hashes.at("fixes.csv"), said.substr(0, 64));
    EXPECT_EQ(hashes.count("house.mp4"), 1U);
}

// The uniform colour code: green for sewers and drains, pink for survey marks (APWA, ANSI Z535.1,
// the colours' names; the shades are ours).
TEST(Geopackage, IsStyledInTheUniformColours) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    const auto style = [&](const std::string& layer) {
        return map.value("SELECT styleQML FROM layer_styles WHERE f_table_name = '" + layer + "'");
    };
    const auto colour = [&](const std::string& layer) {
        const std::string qml = style(layer);
        const char* key = qml.find("line_color") == std::string::npos ? "\"color\" value=\""
                                                                      : "line_color\" value=\"";
        std::array<int, 3> rgb{};
        const std::size_t at = qml.find(key);
        EXPECT_NE(at, std::string::npos) << layer;
        EXPECT_EQ(std::sscanf(qml.c_str() + at + std::string(key).size(), "%d,%d,%d", &rgb[0],
                              &rgb[1], &rgb[2]),
                  3);
        return rgb;
    };
    for (const char* layer : {"pipe_runs", "structures"}) {
        const auto [red, green, blue] = colour(layer);
        EXPECT_GT(green, red + 60) << layer;
        EXPECT_GT(green, blue + 40) << layer;
    }
    for (const char* layer : {"fixes", "stations"}) {
        const auto [red, green, blue] = colour(layer);
        EXPECT_GT(red, blue + 40) << layer;
        EXPECT_GT(blue, green + 40) << layer;
    }
    EXPECT_THAT(style("pipe_runs"), testing::HasSubstr("labelsEnabled=\"1\""));
    EXPECT_EQ(map.value("SELECT count(*) FROM layer_styles WHERE useAsDefault = 1"), "8");
}

// Where m is a value, by interpolation between the vertices: what linear referencing does.
OGRPoint located(const OGRLineString& line, double m) {
    for (int i = 1; i < line.getNumPoints(); ++i) {
        if (line.getM(i) < m) continue;
        const double share = (m - line.getM(i - 1)) / (line.getM(i) - line.getM(i - 1));
        return OGRPoint(line.getX(i - 1) + share * (line.getX(i) - line.getX(i - 1)),
                        line.getY(i - 1) + share * (line.getY(i) - line.getY(i - 1)),
                        line.getZ(i - 1) + share * (line.getZ(i) - line.getZ(i - 1)));
    }
    return OGRPoint();
}

TEST(Geopackage, IsLinearlyReferencedByStation) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    std::map<std::string, std::unique_ptr<OGRLineString>> lines;
    for (const auto& run : *map.layer("pipe_runs")) {
        const auto* line = run->GetGeometryRef()->toLineString();
        EXPECT_DOUBLE_EQ(line->getM(0), 0.0);
        EXPECT_NEAR(line->getM(line->getNumPoints() - 1), run->GetFieldAsDouble("length_m"), 0.01);
        // The direction is that of the push: from the structure the run starts at.
        lines.emplace(run->GetFieldAsString("run_id"), line->clone());
    }
    int marks = 0;
    for (const auto& station : *map.layer("stations")) {
        const auto* mark = station->GetGeometryRef()->toPoint();
        const double m = station->GetFieldAsDouble("station_m");
        if (m == 0.0) continue;
        const OGRPoint at = located(*lines.at(station->GetFieldAsString("run_id")), m - 1e-4);
        EXPECT_NEAR(at.getX(), mark->getX(), 0.005);
        EXPECT_NEAR(at.getY(), mark->getY(), 0.005);
        EXPECT_NEAR(at.getZ(), mark->getZ(), 0.005);
        EXPECT_NEAR(mark->getM(), m, 1e-3);
        ++marks;
    }
    EXPECT_GT(marks, 40);
}

// The same by SpatiaLite, which GDAL's SQLite dialect carries: ST_InterpolatePoint gives the
// measure of a line at its place nearest to a point.
TEST(Geopackage, IsLinearlyReferencedByAStandardTool) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    const std::string off =
        "FROM stations s JOIN pipe_runs r USING (run_id) WHERE abs(ST_InterpolatePoint(r.geom, "
        "s.geom) - s.station_m)";
    EXPECT_EQ(map.value("SELECT count(*) " + off + " < 0.005"),
              map.value("SELECT count(*) FROM stations"));
    EXPECT_EQ(map.value("SELECT count(*) " + off + " >= 0.005"), "0");
    // From the structure the head was pushed from to the one it reached.
    EXPECT_EQ(map.value("SELECT count(*) FROM pipe_runs r JOIN structures s ON s.structure_id = "
                        "r.from_id WHERE ST_Distance(ST_StartPoint(r.geom), s.geom) < "
                        "ST_Distance(ST_EndPoint(r.geom), s.geom)"),
              "5");
}

// A z of 0 among elevations is a height to whoever does not read that it is none: every row at 0
// says so.
TEST(Observations, SayWhereTheirHeightIsNotKnown) {
    const MadeSet set;
    const MapReader map(set.file("asbuilt.gpkg"));
    int unknown = 0;
    int known = 0;
    for (const auto& row : *map.layer("observations")) {
        const OGRGeometry* geometry = row->GetGeometryRef();
        if (geometry == nullptr) continue;
        const bool none = std::string(row->GetFieldAsString("z_reference")) == "none";
        EXPECT_EQ(geometry->toPoint()->getZ() == 0.0, none);
        ++(none ? unknown : known);
    }
    EXPECT_GT(unknown, 0);
    EXPECT_GT(known, 0);
}

}  // namespace
}  // namespace sondeline
