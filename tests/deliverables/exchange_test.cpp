// Every file for other programs, read back by something other than what wrote it.
#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include <cpl_minixml.h>
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "deliverables/layer_table.hpp"
#include "deliverables/made_set.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

json features_of(const json& collection, const std::string& layer) {
    json found = json::array();
    for (const json& feature : collection.at("features")) {
        if (feature.at("properties").at("layer") == layer) found.push_back(feature);
    }
    return found;
}

TEST(Geojson, HoldsEveryRunInLongitudeAndLatitude) {
    const MadeSet set;
    const json all = json::parse(text_of(set.file("asbuilt.geojson")));
    EXPECT_EQ(all.at("type"), "FeatureCollection");
    const json runs = features_of(all, "pipe_runs");
    ASSERT_EQ(runs.size(), 5U);
    for (const json& run : runs) {
        EXPECT_EQ(run.at("geometry").at("type"), "LineString");
        EXPECT_GT(run.at("properties").at("length_m").get<double>(), 1.0);
    }
    // The tank's inlet as typed in sample-runs/walnut-row/structures.csv; adjusted by centimetres.
    for (const json& structure : features_of(all, "structures")) {
        if (structure.at("properties").at("structure_id") != "tank in") continue;
        const json& at = structure.at("geometry").at("coordinates");
        EXPECT_NEAR(at[0].get<double>(), -92.1007015, 1e-6);
        EXPECT_NEAR(at[1].get<double>(), 41.1987839, 1e-6);
    }
    EXPECT_EQ(features_of(all, "bellies").size(), 1U);
}

// RFC 7946: section 4 (no crs member), 3.1.1 (two or three numbers, longitude first), 11.2
// (precision: seven decimals and no more are asked for), 5 (bbox).
TEST(Geojson, KeepsToTheRfc) {
    const MadeSet set;
    const std::string text = text_of(set.file("asbuilt.geojson"));
    const json all = json::parse(text);
    EXPECT_FALSE(all.contains("crs"));
    EXPECT_EQ(all.at("bbox").size(), 4U);
    const std::regex position(R"(\[ *-?\d+\.\d+, *-?\d+\.\d+(, *-?[\d.]+)? *\])");
    const std::regex decimals(R"(\.(\d+))");
    int positions = 0;
    for (std::sregex_iterator at(text.begin(), text.end(), position), end; at != end; ++at) {
        const std::string words = at->str();
        EXPECT_FALSE((*at)[1].matched) << words;
        for (std::sregex_iterator it(words.begin(), words.end(), decimals); it != end; ++it) {
            EXPECT_LE((*it)[1].length(), 7) << words;
        }
        ++positions;
    }
    EXPECT_GT(positions, 100);
    for (const json& feature : all.at("features")) {
        EXPECT_EQ(feature.at("type"), "Feature");
        EXPECT_TRUE(feature.contains("geometry"));
        EXPECT_TRUE(feature.contains("properties"));
    }
}

TEST(Geojson, SaysTheSameAsTheMap) {
    const MadeSet set;
    const json all = json::parse(text_of(set.file("asbuilt.geojson")));
    for (const json& run : features_of(all, "pipe_runs")) {
        const std::string id = run.at("properties").at("run_id");
        const std::string said = output_of(fmt::format(
            "ogrinfo -ro -q -dialect SQLITE -sql \"SELECT length_m FROM pipe_runs WHERE run_id = "
            "'{}'\" '{}' 2>/dev/null | sed -n 's/.*length_m (Real) = //p'",
            id, set.file("asbuilt.gpkg").string()));
        EXPECT_DOUBLE_EQ(std::stod(said), run.at("properties").at("length_m").get<double>()) << id;
    }
}

// ---- KML --------------------------------------------------------------------------------------

struct Place {
    std::string folder;
    std::string name;
    std::string altitude_mode;
    std::string visibility;
    std::vector<std::array<double, 3>> coordinates;
};

std::vector<std::array<double, 3>> coordinates_of(const CPLXMLNode* placemark) {
    const CPLXMLNode* list = CPLSearchXMLNode(placemark, "coordinates");
    std::istringstream words(list == nullptr ? "" : CPLGetXMLValue(list, nullptr, ""));
    std::vector<std::array<double, 3>> all;
    for (std::string word; words >> word;) {
        std::array<double, 3> at{};
        EXPECT_GE(std::sscanf(word.c_str(), "%lf,%lf,%lf", &at[0], &at[1], &at[2]), 2);
        all.push_back(at);
    }
    return all;
}

// Placemarks by a plain XML reader.
std::vector<Place> places_of(const fs::path& kml) {
    struct Destroyer {
        void operator()(CPLXMLNode* node) const { CPLDestroyXMLNode(node); }
    };
    const std::unique_ptr<CPLXMLNode, Destroyer> tree(CPLParseXMLFile(kml.c_str()));
    std::vector<Place> places;
    const CPLXMLNode* document = CPLSearchXMLNode(tree.get(), "=Document");
    if (document == nullptr) return places;
    for (const CPLXMLNode* folder = document->psChild; folder != nullptr; folder = folder->psNext) {
        if (std::string(folder->pszValue) != "Folder" &&
            std::string(folder->pszValue) != "Document")
            continue;
        for (const CPLXMLNode* mark = folder->psChild; mark != nullptr; mark = mark->psNext) {
            if (std::string(mark->pszValue) != "Placemark") continue;
            const CPLXMLNode* mode = CPLSearchXMLNode(mark, "altitudeMode");
            places.push_back({CPLGetXMLValue(folder, "name", ""), CPLGetXMLValue(mark, "name", ""),
                              mode == nullptr ? "" : CPLGetXMLValue(mode, nullptr, ""),
                              CPLGetXMLValue(mark, "visibility", "1"), coordinates_of(mark)});
        }
    }
    return places;
}

TEST(Kml, DrawsTheRunsOnTheGroundAndOnceMoreAtTheirDepth) {
    const MadeSet set;
    int drawn = 0;
    int deep = 0;
    for (const Place& place : places_of(set.file("asbuilt.kml"))) {
        if (place.folder == "Pipes, drawn on the ground") {
            ++drawn;
            // KML 2.2, altitudeMode: clampToGround is the default and may be left out.
            EXPECT_TRUE(place.altitude_mode.empty() || place.altitude_mode == "clampToGround");
            EXPECT_EQ(place.visibility, "1");
            EXPECT_GT(place.coordinates.size(), 2U);
        }
        if (place.folder == "Pipes at their depth") {
            ++deep;
            EXPECT_EQ(place.altitude_mode, "relativeToGround") << place.name;
            EXPECT_EQ(place.visibility, "0");
            // Taped and located depths of the sample lie between 22 and 34 in (0.55 to 0.87 m).
            for (const auto& at : place.coordinates) {
                EXPECT_LT(at[2], -0.4) << place.name;
                EXPECT_GT(at[2], -1.1) << place.name;
            }
        }
        for (const auto& at : place.coordinates) {
            EXPECT_NEAR(at[0], -92.1005, 0.001) << place.name;
            EXPECT_NEAR(at[1], 41.1987, 0.001) << place.name;
        }
    }
    EXPECT_EQ(drawn, 5);
    EXPECT_GT(deep, 2);
}

// ---- DXF --------------------------------------------------------------------------------------

struct Entity {
    std::string kind;
    std::multimap<int, std::string> codes;

    std::string first(int code) const {
        const auto at = codes.find(code);
        return at == codes.end() ? "" : at->second;
    }
    double number(int code) const { return std::stod(first(code)); }
};

// DXF reference: a file is pairs of lines, group code and value; code 0 begins an entity.
struct Drawing {
    std::map<std::string, std::string> header;  // variable and its first value
    std::vector<Entity> entities;               // of every section, in order

    std::vector<Entity> all(const std::string& kind, const std::string& layer) const {
        std::vector<Entity> found;
        for (const Entity& entity : entities) {
            if (entity.kind == kind && entity.first(8) == layer) found.push_back(entity);
        }
        return found;
    }
};

Drawing drawing_of(const fs::path& file) {
    std::istringstream in(text_of(file));
    Drawing drawing;
    std::string variable;
    for (std::string code, value; std::getline(in, code) && std::getline(in, value);) {
        const int number = std::stoi(code);
        if (number == 9) {
            variable = value;
        } else if (number == 0) {
            drawing.entities.push_back({value, {}});
        } else if (!variable.empty()) {
            drawing.header.emplace(variable, value);
            variable.clear();
        }
        if (number != 0 && !drawing.entities.empty()) {
            drawing.entities.back().codes.emplace(number, value);
        }
    }
    return drawing;
}

TEST(Dxf, IsInMetresOnLayersOfTheNationalCadStandard) {
    const MadeSet set;
    const Drawing drawing = drawing_of(set.file("asbuilt.dxf"));
    // DXF reference, HEADER: $INSUNITS 6 is metres; AC1018 is AutoCAD 2004.
    EXPECT_EQ(std::stoi(drawing.header.at("$INSUNITS")), 6);
    EXPECT_EQ(drawing.header.at("$ACADVER"), "AC1018");
    // Discipline, major group, minor groups of four letters (US National CAD Standard; the pattern
    // is public, the list of groups is from memory).
    const std::regex pattern("V-[A-Z]{4}(-[A-Z]{4}){1,2}");
    std::set<std::string> layers;
    for (const Entity& entity : drawing.entities) {
        if (entity.kind != "LAYER" || entity.first(2).empty() || entity.first(2) == "0") continue;
        layers.insert(entity.first(2));
        EXPECT_TRUE(std::regex_match(entity.first(2), pattern)) << entity.first(2);
    }
    EXPECT_THAT(layers, testing::IsSupersetOf({"V-SSWR-PIPE", "V-SSWR-STRC", "V-SSWR-TEXT"}));
    for (const Entity& entity : drawing.entities) {
        if (entity.kind != "LAYER" || entity.first(2) != "V-SSWR-PIPE") continue;
        EXPECT_EQ(std::stoi(entity.first(62)), 3) << "green";
    }
}

TEST(Dxf, DrawsPipesInThreeDimensions) {
    const MadeSet set;
    const Drawing drawing = drawing_of(set.file("asbuilt.dxf"));
    // The short capped stub has no depths: it is drawn flat, on a layer that says so.
    EXPECT_EQ(drawing.all("POLYLINE", "V-SSWR-PIPE").size(), 4U);
    EXPECT_EQ(drawing.all("LWPOLYLINE", "V-SSWR-PIPE-NOEL").size(), 1U);
    for (const Entity& line : drawing.all("POLYLINE", "V-SSWR-PIPE")) {
        EXPECT_EQ(static_cast<int>(line.number(70)) & 8, 8) << "3D polyline";
        EXPECT_EQ(line.first(62), "") << "takes the colour of its layer";
    }
    // The truth the sample was drawn from: x east, y north, z invert; the map is in UTM metres.
    double lowest = 1e9;
    for (const Entity& vertex : drawing.all("VERTEX", "V-SSWR-PIPE")) {
        EXPECT_NEAR(vertex.number(10), 575415.0, 25.0);
        EXPECT_NEAR(vertex.number(20), 4561205.0, 25.0);
        lowest = std::min(lowest, vertex.number(30));
    }
    EXPECT_GT(lowest, 27.0);
    EXPECT_LT(lowest, 31.0);
}

TEST(Dxf, PutsABlockAtEveryStructureAndTextAtStationsAndInverts) {
    const MadeSet set;
    const Drawing drawing = drawing_of(set.file("asbuilt.dxf"));
    const auto inserts = drawing.all("INSERT", "V-SSWR-STRC");
    EXPECT_EQ(inserts.size(), 6U);
    for (const Entity& insert : inserts) EXPECT_EQ(insert.first(2), "STRUCTURE");
    bool defined = false;
    for (const Entity& entity : drawing.entities) {
        defined = defined || (entity.kind == "BLOCK" && entity.first(2) == "STRUCTURE");
    }
    EXPECT_TRUE(defined);
    const auto texts = [&](const std::string& layer) {
        std::string all;
        for (const Entity& text : drawing.all("MTEXT", layer)) all += text.first(1) + "\n";
        return std::regex_replace(all, std::regex(R"(\\~)"), " ");
    };
    EXPECT_THAT(texts("V-SSWR-TEXT"), testing::HasSubstr("tank in"));
    EXPECT_THAT(texts("V-SSWR-TEXT-STAT"), testing::HasSubstr("25.0 ft"));
    // In the unit of the stations beside them, the drawing being in metres. The sample's inverts
    // lie 97 to 100 ft above its datum.
    EXPECT_THAT(texts("V-SSWR-TEXT-INVT"), testing::ContainsRegex("invert 9[0-9]\\.[0-9][0-9] ft"));
    EXPECT_THAT(texts("V-SSWR-TEXT"), testing::ContainsRegex("L1 [0-9]+\\.[0-9] ft"));
}

// NAD83 / Iowa South (ftUS), EPSG:3418. Where the tank's inlet lies there by PROJ's own program,
// from the longitude and latitude typed in sample-runs/walnut-row/structures.csv; adjusted by
// centimetres.
TEST(Dxf, IsInFeetWhereTheMapIs) {
    const MadeSet set([](const fs::path& folder) {
        std::ofstream(folder / "job.csv", std::ios::app) << "crs,EPSG:3418\n";
    });
    const Drawing drawing = drawing_of(set.file("asbuilt.dxf"));
    // DXF reference, HEADER: $INSUNITS 2 is feet, 6 metres; $MEASUREMENT 0 is English.
    EXPECT_EQ(std::stoi(drawing.header.at("$INSUNITS")), 2);
    EXPECT_EQ(std::stoi(drawing.header.at("$MEASUREMENT")), 0);
    std::istringstream said(output_of(
        "echo '-92.1007015 41.1987839' | gdaltransform -s_srs OGC:CRS84 -t_srs EPSG:3418"));
    double x_ft = 0.0;
    double y_ft = 0.0;
    said >> x_ft >> y_ft;
    double nearest_ft = 1e9;
    for (const Entity& insert : drawing.all("INSERT", "V-SSWR-STRC")) {
        nearest_ft =
            std::min(nearest_ft, std::hypot(insert.number(10) - x_ft, insert.number(20) - y_ft));
    }
    EXPECT_LT(nearest_ft, 0.3);
    // A pipe is as long whatever map it is drawn on.
    const MadeSet in_metres;
    for (std::size_t i = 0; i < in_metres.outcome().runs.size(); ++i) {
        EXPECT_NEAR(set.outcome().runs[i].length_m.value_or(0.0),
                    in_metres.outcome().runs[i].length_m.value_or(-1.0), 0.05);
    }
    // The inverts of the sample lie 97 to 100 ft above its datum, the benchmark being 100 ft.
    const auto vertices = drawing.all("VERTEX", "V-SSWR-PIPE");
    EXPECT_GT(vertices.size(), 10U);
    for (const Entity& vertex : vertices) {
        EXPECT_GT(vertex.number(30), 95.0);
        EXPECT_LT(vertex.number(30), 101.0);
    }
}

TEST(Dxf, IsReadByOgr) {
    const MadeSet set;
    const std::string said =
        output_of(fmt::format("ogrinfo -ro -q -dialect SQLITE -sql \"SELECT Layer, count(*) AS n "
                              "FROM entities GROUP BY Layer\" '{}'",
                              set.file("asbuilt.dxf").string()));
    EXPECT_THAT(said, testing::HasSubstr("V-SSWR-PIPE"));
}

// A job with coordinates of its own has a drawing, but no place on the globe.
TEST(LocalJob, HasADrawingButNoFileForTheGlobeAndSaysWhy) {
    const MadeSet set([](const fs::path& folder) {
        const auto write = [&](const char* name, const std::string& text) {
            std::ofstream(folder / name) << text;
        };
        for (const auto& entry : fs::directory_iterator(folder)) {
            if (entry.path().extension() == ".csv") fs::remove(entry.path());
        }
        write("job.csv", "key,value\ncrs,local\nlength unit,ft\n");
        write("structures.csv", "id,kind,x,y\nA,building,0,0\nB,tank,0,-33\n");
        write("runs.csv", "id,footage,kind,from,to\nBS,house.mp4,building sewer,A,B\n");
        fs::create_directories(folder / "asbuilt");
        write("asbuilt/asbuilt.kml", "from an older day");
    });
    EXPECT_TRUE(fs::exists(set.file("asbuilt.dxf")));
    EXPECT_FALSE(fs::exists(set.file("asbuilt.geojson")));
    EXPECT_FALSE(fs::exists(set.file("asbuilt.kml")));
    const json data = json::parse(text_of(set.file("job.json")));
    EXPECT_THAT(data.at("layers").at("findings").dump(), testing::HasSubstr("asbuilt.geojson"));
}

// A length shows every decimal that its bounds deserve, also a nought.
TEST(JobLengthWords, KeepTheLastNought) {
    const LayerTable table{"pipe_runs",
                           "",
                           LayerGeometry::none,
                           {{"length_job", ColumnType::real, ""},
                            {"job_unit", ColumnType::text, ""},
                            {"length_lo95_m", ColumnType::real, ""},
                            {"length_hi95_m", ColumnType::real, ""}},
                           {{{33.0, std::string("ft"), 9.997, 10.12}, {}}}};
    EXPECT_EQ(job_length_words(table, table.rows.front()), "33.0 ft");
    const MadeSet set;
    EXPECT_THAT(text_of(set.file("asbuilt.kml")),
                testing::ContainsRegex("[0-9]+[.][0-9] ft along the pipe"));
}

}  // namespace
}  // namespace sondeline
