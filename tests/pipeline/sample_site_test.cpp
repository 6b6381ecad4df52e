// The whole path on the sample site, against the truth it was made from (tests/made/sample_truth).
#include "pipeline/sample_site.hpp"

#include <cmath>
#include <cstdlib>

#include <gmock/gmock.h>
#include <ogr_geometry.h>
#include <proj.h>

namespace sondeline {
namespace {

// Rows of a truth file by the header's names.
std::vector<std::map<std::string, std::string>> truth_rows(const std::string& name) {
    std::ifstream in(source_tree / "tests/made/sample_truth" / name);
    const auto cells = [](const std::string& line) {
        std::vector<std::string> all;
        std::istringstream stream(line);
        for (std::string cell; std::getline(stream, cell, ',');) all.push_back(cell);
        return all;
    };
    std::string line;
    std::getline(in, line);
    const std::vector<std::string> header = cells(line);
    std::vector<std::map<std::string, std::string>> rows;
    while (std::getline(in, line)) {
        const std::vector<std::string> values = cells(line);
        std::map<std::string, std::string> row;
        for (std::size_t i = 0; i < std::min(header.size(), values.size()); ++i) {
            row[header[i]] = values[i];
        }
        rows.push_back(row);
    }
    return rows;
}

TEST_F(SampleSite, MeasuresEveryRunWithinOneTickOfTheCounter) {
    EXPECT_EQ(process().exit_code, 0);
    const json runs = layer("pipe_runs");
    for (const auto& truth : truth_rows("runs.csv")) {
        const json run = row_of(runs, "run_id", truth.at("run"));
        const double counted_m = std::stod(truth.at("counted_ft")) * 0.3048;
        EXPECT_NEAR(run.at("counter_length_m").get<double>(), counted_m, 0.1 * 0.3048 + 1e-3)
            << truth.at("run");
        const double true_m = std::stod(truth.at("length_m"));
        EXPECT_LE(run.at("length_lo95_m").get<double>(), true_m) << truth.at("run");
        EXPECT_GE(run.at("length_hi95_m").get<double>(), true_m) << truth.at("run");
    }
}

TEST_F(SampleSite, DrawsEveryRunWithinThirtyCentimetresOfTheTruePipe) {
    process();
    const json runs = layer("pipe_runs");
    for (const char* id : {"BS", "EL", "L1", "L2", "L3"}) {
        const json geometry = row_of(runs, "run_id", id).at("geometry");
        ASSERT_GT(geometry.size(), 2U) << id;
        double sum = 0.0;
        int count = 0;
        for (const auto& truth : truth_rows(std::string(id) + ".csv")) {
            const double x = std::stod(truth.at("easting_m"));
            const double y = std::stod(truth.at("northing_m"));
            double nearest = 1e9;
            for (std::size_t i = 0; i + 1 < geometry.size(); ++i) {
                const double ax = geometry[i][0], ay = geometry[i][1];
                const double bx = geometry[i + 1][0], by = geometry[i + 1][1];
                const double square = (bx - ax) * (bx - ax) + (by - ay) * (by - ay);
                const double share =
                    square > 0.0
                        ? std::clamp(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / square, 0.0,
                                     1.0)
                        : 0.0;
                nearest = std::min(
                    nearest, std::hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay)));
            }
            sum += nearest * nearest;
            ++count;
        }
        EXPECT_LT(std::sqrt(sum / count), 0.3) << id;
    }
}

// The plan length of a run is its length on the ellipsoid: the sum of PROJ's geodesics (proj_geod)
// between the points of the map, turned into longitude and latitude by PROJ. On the map's grid OGR
// finds it shorter by the scale of the projection there (0.9996 to 1.0004 within a zone of UTM).
TEST_F(SampleSite, GivesPlanLengthsThatProjAndOgrFind) {
    process();
    PJ* map = proj_create_crs_to_crs(nullptr, "EPSG:32615", "EPSG:4326", nullptr);
    PJ* lines = proj_create(nullptr, "+proj=longlat +ellps=WGS84");
    ASSERT_TRUE(map != nullptr && lines != nullptr);
    for (const json& run : layer("pipe_runs")) {
        double geodesic_m = 0.0;
        OGRLineString line;
        PJ_COORD before{};
        for (const json& vertex : run.at("geometry")) {
            const double x = vertex.at(0).get<double>();
            const double y = vertex.at(1).get<double>();
            const PJ_COORD degrees = proj_trans(map, PJ_FWD, proj_coord(x, y, 0, 0));
            const PJ_COORD here =
                proj_coord(proj_torad(degrees.v[1]), proj_torad(degrees.v[0]), 0, 0);
            if (line.getNumPoints() > 0) geodesic_m += proj_geod(lines, before, here).v[0];
            line.addPoint(x, y);
            before = here;
        }
        const double plan_m = run.at("plan_length_m").get<double>();
        EXPECT_NEAR(geodesic_m, plan_m, 0.002) << run.at("run_id");
        EXPECT_NEAR(line.get_Length() / geodesic_m, 0.9996, 0.0003) << run.at("run_id");
    }
    proj_destroy(map);
    proj_destroy(lines);
}

TEST_F(SampleSite, SetsTheMistypedFixAsideAndSaysWhy) {
    process();
    for (const json& fix : layer("fixes")) {
        const bool mistyped = fix.at("fix_id") == "F17";
        EXPECT_EQ(fix.at("used"), mistyped ? "rejected" : "used") << fix.at("fix_id");
        if (mistyped) {
            EXPECT_FALSE(fix.at("why").is_null());
        }
    }
}

TEST_F(SampleSite, ReportsTheTrenchThatFallsShortOfThePaperWithItsBounds) {
    process();
    const json claim = row_of(layer("records_check"), "item", "total trench length");
    EXPECT_EQ(claim.at("verdict"), "short");
    double trench_m = 0.0;
    for (const auto& truth : truth_rows("runs.csv")) {
        if (truth.at("run").starts_with("L")) trench_m += std::stod(truth.at("length_m"));
    }
    EXPECT_LE(claim.at("measured_lo95").get<double>(), trench_m);
    EXPECT_GE(claim.at("measured_hi95").get<double>(), trench_m);
    EXPECT_EQ(row_of(layer("records_check"), "item", "number of laterals").at("verdict"), "agrees");
    EXPECT_EQ(row_of(layer("records_check"), "item", "tank capacity").at("verdict"),
              "agrees as stated");
}

TEST_F(SampleSite, MapsTheNotedBellyWithItsEvidence) {
    process();
    const json bellies = layer("bellies");
    ASSERT_EQ(bellies.size(), 1U);
    const json& belly = bellies[0];
    EXPECT_EQ(belly.at("run_id"), "BS");
    EXPECT_THAT(belly.at("evidence").get<std::string>(),
                testing::AllOf(testing::HasSubstr("footage"), testing::HasSubstr("note")));
    EXPECT_THAT(belly.at("words").get<std::string>(), testing::HasSubstr("Footage: house.mp4 at"));
    EXPECT_GT(belly.at("geometry").size(), 1U);
    // Ends as the counter showed them, within a foot: the water was drawn from the true pipe.
    EXPECT_NEAR(belly.at("from_m").get<double>(), 5.0, 0.4);
    EXPECT_NEAR(belly.at("to_m").get<double>(), 7.1, 0.4);
    if (belly.at("probability").is_null()) {
        EXPECT_FALSE(belly.at("probability_withheld").is_null());
    }
    for (const json& run : layer("pipe_runs")) {
        EXPECT_FALSE(run.at("smallest_belly").is_null()) << run.at("run_id");
        EXPECT_FALSE(run.at("smallest_water").is_null()) << run.at("run_id");
        // A depth goes with the part of the run along which it holds.
        EXPECT_EQ(run.at("smallest_water_m").is_null(),
                  run.at("smallest_water_pct").get<double>() < 0.5)
            << run.at("run_id");
    }
}

TEST_F(SampleSite, WritesAGeopackageThatTheValidatorOfGdalAccepts) {
    process();
    // osgeo_utils.samples.validate_gpkg comes with Debian's python3-gdal.
    const std::string command = fmt::format(
        "/usr/bin/python3 -m osgeo_utils.samples.validate_gpkg --extra '{}' > '{}' 2>&1",
        (folder_ / "asbuilt/asbuilt.gpkg").string(), (folder_ / "said").string());
    EXPECT_EQ(std::system(command.c_str()), 0) << text_of(folder_ / "said");
}

TEST_F(SampleSite, GivesTheSameBytesOnOneThreadAndOnTwo) {
    process(1);
    std::map<std::string, std::string> first;
    for (const auto& entry : fs::recursive_directory_iterator(folder_ / "asbuilt")) {
        if (entry.is_regular_file()) first[entry.path().string()] = text_of(entry.path());
    }
    EXPECT_GE(first.size(), 9U);
    process(2);
    for (const auto& [path, bytes] : first) EXPECT_TRUE(text_of(path) == bytes) << path;
}

TEST_F(SampleSite, WithoutItsTablesStillGivesEveryLength) {
    for (const auto& entry : fs::directory_iterator(folder_)) {
        if (entry.path().extension() == ".csv") fs::remove(entry.path());
    }
    const Outcome outcome = process();
    EXPECT_EQ(outcome.runs.size(), 5U);
    for (const RunOutcome& run : outcome.runs) EXPECT_TRUE(run.length_m.has_value()) << run.id.text;
    EXPECT_TRUE(std::ranges::any_of(outcome.findings, [](const Finding& finding) {
        return finding.what_to_do.find("structures") != std::string::npos;
    }));
    EXPECT_TRUE(fs::exists(folder_ / "asbuilt/report.html"));
}

TEST_F(SampleSite, IsNotTouchedItself) {
    std::map<std::string, std::string> before;
    for (const auto& entry : fs::directory_iterator(folder_)) {
        before[entry.path().string()] = text_of(entry.path());
    }
    process();
    for (const auto& [path, bytes] : before) EXPECT_TRUE(text_of(path) == bytes) << path;
}

}  // namespace
}  // namespace sondeline
