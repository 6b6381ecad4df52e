// The whole path on the sample site, against the truth it was made from (tests/made/sample_truth).
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <mutex>
#include <sstream>

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <ogr_geometry.h>
#include <proj.h>
#include <unistd.h>

#include "sondeline/pipeline.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

const fs::path source_tree(SONDELINE_SOURCE_DIR);

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

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

// A copy of the sample in a folder of its own, so that tests can spoil it.
class SampleSite : public testing::Test {
  protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() /
                  fmt::format("sondeline-sample-{}-{}", getpid(),
                              testing::UnitTest::GetInstance()->current_test_info()->name());
        fs::remove_all(folder_);
        fs::create_directories(folder_);
        for (const auto& entry : fs::directory_iterator(source_tree / "sample-runs/walnut-row")) {
            if (entry.is_regular_file())
                fs::copy_file(entry.path(), folder_ / entry.path().filename());
        }
    }
    void TearDown() override { fs::remove_all(folder_); }

    // Every clip is decoded once for all tests of this program: a Track follows from the clip
    // alone.
    static Track read_once(const fs::path& clip, const ReadProgress& tell) {
        static std::mutex lock;
        static std::map<std::string, Track> known;
        const std::string key = clip.filename().string() + std::to_string(fs::file_size(clip));
        {
            const std::lock_guard guard(lock);
            const auto found = known.find(key);
            if (found != known.end()) return found->second;
        }
        Track track = read_clip(clip, {}, tell);
        const std::lock_guard guard(lock);
        return known.emplace(key, std::move(track)).first->second;
    }

    Outcome process(unsigned threads = 2) const {
        ProcessOptions options;
        options.threads = threads;
        return process_job(folder_, &SampleSite::read_once, options);
    }

    json data() const { return json::parse(text_of(folder_ / "asbuilt/job.json")); }

    json layer(const char* name) const { return data().at("layers").at(name); }

    void write(const char* name, const std::string& text) const {
        std::ofstream(folder_ / name, std::ios::binary) << text;
    }

    // Puts `with` in the place of `text`, which must stand there.
    void change(const char* name, const std::string& text, const std::string& with) const {
        std::string all = text_of(folder_ / name);
        const std::size_t at = all.find(text);
        ASSERT_NE(at, std::string::npos) << text;
        write(name, all.replace(at, text.size(), with));
    }

    fs::path folder_;
};

std::ptrdiff_t saying(const Outcome& outcome, std::string_view words) {
    return std::ranges::count_if(outcome.findings, [&](const Finding& finding) {
        return finding.what.find(words) != std::string::npos;
    });
}

json row_of(const json& layer, const char* column, const std::string& value) {
    for (const json& row : layer) {
        if (row.at(column) == value) return row;
    }
    ADD_FAILURE() << "no row with " << column << " " << value;
    return json::object();
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

TEST_F(SampleSite, SurvivesABrokenClipGarbageCellsAndAMissingFile) {
    write("lateral2.avi", "this is no video");
    fs::remove(folder_ / "lateral3.mp4");
    write("notes.csv", text_of(folder_ / "notes.csv") + "L1,three fathoms,,odd,root,\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    const auto named = [&](const std::string& name) {
        return std::ranges::any_of(outcome.findings, [&](const Finding& finding) {
            return finding.consequence != Consequence::none &&
                   (finding.where.file.find(name) != std::string::npos ||
                    finding.what.find(name) != std::string::npos);
        });
    };
    EXPECT_TRUE(named("lateral2.avi"));
    EXPECT_TRUE(named("lateral3.mp4"));
    EXPECT_TRUE(named("notes.csv"));
    const json runs = layer("pipe_runs");
    for (const char* id : {"BS", "EL", "L1"}) {
        EXPECT_FALSE(row_of(runs, "run_id", id).at("length_m").is_null()) << id;
        EXPECT_GT(row_of(runs, "run_id", id).at("geometry").size(), 2U) << id;
    }
    for (const char* id : {"L2", "L3"}) {
        EXPECT_TRUE(row_of(runs, "run_id", id).at("length_m").is_null()) << id;
    }
}

TEST_F(SampleSite, SaysOnceThatTheClipsOfTwoRunsMayBeExchanged) {
    EXPECT_EQ(saying(process(), "may be exchanged"), 0);
    change("runs.csv", "lateral1.mp4", "kept aside");
    change("runs.csv", "lateral2.avi", "lateral1.mp4");
    change("runs.csv", "kept aside", "lateral2.avi");
    EXPECT_EQ(saying(process(), "the clips of L1 and L2 may be exchanged"), 1);
}

TEST_F(SampleSite, NeitherDrawsNorPricesWhatWasNotedBeyondTheEndOfARun) {
    write("notes.csv", text_of(folder_ / "notes.csv") + "L1,99,,crushed pipe,collapse,\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "\"crushed pipe\" lies 34.6 ft beyond the end of the run"), 1);
    for (const json& note : layer("observations")) EXPECT_NE(note.at("category"), "collapse");
    for (const json& row : layer("replacements")) EXPECT_GT(row.at("length_m").get<double>(), 0.5);
    for (const json& row : layer("quantities")) {
        EXPECT_EQ(row.at("condition").get<std::string>().find("collapse"), std::string::npos);
    }
}

TEST_F(SampleSite, NeedsNoDateForItsLoadTest) {
    change("job.csv", "date,2026-05-14\n", "");
    EXPECT_EQ(process().exit_code, 0);
    EXPECT_FALSE(layer("load_test").at(0).at("volume_in_l").is_null());
}

TEST_F(SampleSite, TellsThatItsPicturesCountInFeetWhenTheTableSaysMetres) {
    change("job.csv", "length unit,ft", "length unit,m");
    EXPECT_EQ(saying(process(), "every picture that shows a unit counts in feet"), 1);
}

TEST_F(SampleSite, UsesNeitherDepthsNorHeadingsOfExchangedColumns) {
    change("fixes.csv", "depth (in),heading", "heading,depth (in)");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "The columns depth and heading look exchanged"), 1);
    EXPECT_EQ(saying(outcome, "The heading of fix"), 0);
    for (const json& run : layer("pipe_runs")) {
        if (run.at("max_depth_m").is_null()) continue;
        EXPECT_LT(run.at("max_depth_m").get<double>(), 1.0) << run.at("run_id");  // of the tapes
    }
}

// True figures of the sample: tests/made/sample_site.cpp.
TEST_F(SampleSite, NamesTheStructureWhoseRodWasReadAFootWrong) {
    change("levels.csv", "1,box,,5.06", "1,box,,4.06");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "The ground levelled or given at box stands"), 1);
    EXPECT_EQ(saying(outcome, "The ground levelled or given at fix"), 0);
    EXPECT_EQ(saying(outcome, "falls the wrong way"), 0);
    const std::map<std::string, double> true_slope = {{"EL", 1.25}, {"L1", 0.35}, {"L2", 0.4}};
    for (const auto& [id, slope] : true_slope) {
        const json run = row_of(layer("pipe_runs"), "run_id", id);
        if (run.at("slope_pct").is_null()) continue;
        EXPECT_NEAR(run.at("slope_pct").get<double>(), slope,
                    2.5 * run.at("slope_sd_pct").get<double>())
            << id;
    }
}

TEST_F(SampleSite, MeasuresNoRunBetterOrWorseForARodWithItsPointInTheWrongPlace) {
    change("levels.csv", "2,F19,,4.31", "2,F19,,43.1");
    process();
    const json run = row_of(layer("pipe_runs"), "run_id", "L1");
    EXPECT_LT(run.at("length_lo95_m").get<double>(), 19.05);
    EXPECT_GT(run.at("length_hi95_m").get<double>(), 19.05);
}

TEST_F(SampleSite, GivesNoGradeFromATapeThatAllDepthsContradict) {
    change("runs.csv", "\"2' 4\"\"\"", "\"3' 4\"\"\"");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "taped at box) contradicts the depths"), 1);
    EXPECT_EQ(saying(outcome, "A tape or a rod off by 1 ft would explain it."), 1);
    EXPECT_TRUE(row_of(layer("pipe_runs"), "run_id", "EL").at("slope_pct").is_null());
}

TEST_F(SampleSite, DrawsNoMirrorImageOfItselfWithoutMinusSigns) {
    for (const char* table : {"fixes.csv", "structures.csv"}) {
        std::string all = text_of(folder_ / table);
        for (std::size_t at = 0; (at = all.find(",-92", at)) != std::string::npos;) {
            all.replace(at, 4, ",92");
        }
        write(table, all);
    }
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_EQ(saying(outcome, "mirror image"), 1);
    EXPECT_EQ(saying(outcome, "off the line"), 0);
    for (const json& run : layer("pipe_runs")) {
        EXPECT_NE(run.at("placement"), "placed");
        EXPECT_FALSE(run.at("length_m").is_null());
    }
}

TEST_F(SampleSite, SaysOnceThatFromAndToOfARunLookExchanged) {
    change("runs.csv", "tank out,box", "box,tank out");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "From and to of run EL look exchanged"), 1);
    EXPECT_EQ(saying(outcome, "its position was not used"), 1);  // of F17, as ever
    EXPECT_TRUE(row_of(layer("pipe_runs"), "run_id", "EL").at("slope_pct").is_null());
}

TEST_F(SampleSite, TellsOfAClockThatIsAnHourOffOnceAndOfEachFixOnce) {
    change("fixes.csv", "id,run,counter,video time,", "id,run,counter,clock,");
    change("fixes.csv", "F9,EL,,30.5,", "F9,EL,,10:20:30,");
    change("fixes.csv", "F10,EL,28.0,,", "F10,EL,,10:20:40,");
    const Outcome outcome = process();
    EXPECT_EQ(saying(outcome, "were 1 h ahead of that of the footage"), 1);
    EXPECT_EQ(saying(outcome, "Fix F9 has no place"), 1);
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
