// Whole jobs of hostile or senseless input: the map is written, nothing leaves its folder, nothing
// typed is taken for more than text.
#include <cmath>
#include <set>

#include <gdal_priv.h>
#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include "sondeline/service.hpp"

#include "service/made_track.hpp"
#include "service/own_folder.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

class HostileJob : public OwnFolder {
  protected:
    HostileJob() {
        fs::create_directories(folder_ / "job");
        for (const char* clip : {"a.mp4", "b.mp4", "c.mp4"}) put(folder_ / "job" / clip, clip);
    }

    void table(const char* name, const std::string& text) const {
        put(folder_ / "job" / name, text);
    }

    // Every clip is a push of 20 ft in 20 s.
    static Track read(const fs::path& clip, const ReadProgress&) {
        Track track = made_track(file_sha256(clip));
        track.clip.damaged = false;
        track.samples.clear();
        track.zeroings.clear();
        track.pull_backs.clear();
        track.findings.clear();
        for (int i = 0; i <= 200; ++i) {
            track.samples.push_back({0.1 * i, 0.1 * i, 0.999, CounterState::push, ""});
        }
        track.coverage = 1.0;
        return track;
    }

    Outcome process() const { return process_job(folder_ / "job", read, {}); }
    std::string written(const char* name) const { return get(folder_ / "job/asbuilt" / name); }

    // All names below the test's folder, apart from the job.
    std::vector<std::string> outside() const {
        std::vector<std::string> names;
        for (const auto& entry : fs::directory_iterator(folder_)) {
            if (entry.path().filename() != "job") names.push_back(entry.path().string());
        }
        return names;
    }
};

TEST_F(HostileJob, WithPathsForIdsWritesNothingOutsideItsFolder) {
    table("runs.csv", "id,footage\n../../escaped,a.mp4\n/tmp/absolute,b.mp4\n..,c.mp4\n");
    EXPECT_NE(process().exit_code, 3);
    EXPECT_THAT(outside(), testing::IsEmpty());
    std::size_t readings = 0;
    for (const auto& entry : fs::directory_iterator(folder_ / "job/asbuilt/readings")) {
        EXPECT_TRUE(entry.is_regular_file());
        ++readings;
    }
    // Tables of readings, of inclinations, of water and of marks for each of three.
    EXPECT_EQ(readings, 12U);
}

TEST_F(HostileJob, WithMarkupInItsTextShowsItAsText) {
    const std::string script = "<script>alert(1)</script>";
    const std::string image = "<img src=x onerror=alert(2)>";
    table("job.csv", "key,value\nsite," + script + "\nprepared by," + image + "\n");
    table("runs.csv", "id,footage,note,material\n" + image + ",a.mp4," + script + "," + script +
                          "\nL2,b.mp4,,\n");
    table("notes.csv", "run,counter,what,category\nL2,5," + script + ",root\n");
    table("records.csv", "document,item,of,value,unit\n" + script + ",run length,L2,20,ft\n");
    process();
    const std::string report = written("report.html");
    EXPECT_THAT(report, Not(HasSubstr("<script>alert")));
    EXPECT_THAT(report, Not(HasSubstr("<img src=x")));
    EXPECT_THAT(report, HasSubstr("&lt;script&gt;alert"));
}

TEST_F(HostileJob, WithFormulasInItsCellsWritesThemAsText) {
    table("runs.csv",
          "id,footage,kind,material\n\"=HYPERLINK(\"\"http://x\"\")\",a.mp4,lateral,+1+cmd\n"
          "@SUM(A1),b.mp4,lateral,-2-3\n");
    process();
    std::istringstream lines(written("quantities.csv"));
    for (std::string line; std::getline(lines, line);) {
        ASSERT_FALSE(line.empty());
        EXPECT_EQ(std::string("=+-@").find(line.front()), std::string::npos) << line;
        for (const char* cell : {",=", ",@", ",+", "\"=", "\"@"}) {
            EXPECT_THAT(line, Not(HasSubstr(cell)));
        }
    }
}

TEST_F(HostileJob, WithFiguresThatAreNoneRejectsTheCellsAndGoesOn) {
    table("runs.csv", "id,footage,diameter (in)\nL1,a.mp4,nan\nL2,b.mp4,inf\nL3,c.mp4,1e999\n");
    table("fixes.csv",
          "id,run,counter,lon,lat,depth (in)\nF1,L1,nan,-92.1,41.2,30\nF2,L1,5,inf,41.2,30\n"
          "F3,L1,6,-92.1,-inf,30\nF4,L1,7,-92.1,41.2,infinity\nF5,L1,1e308,-92.1,41.2,1e308\n"
          "F6,L1,8,-92.1,95,30\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(written("report.html"), Not(HasSubstr(">nan")));
    const auto data = nlohmann::json::parse(written("job.json"));
    for (const auto& run : data.at("layers").at("pipe_runs")) {
        if (run.at("length_m").is_null()) continue;
        EXPECT_NEAR(run.at("length_m").get<double>(), 20 * 0.3048, 0.5);
    }
}

TEST_F(HostileJob, WithDuplicatesCyclesAndRunsThatMeetThemselvesIsWritten) {
    table("structures.csv",
          "id,kind,lon,lat\nA,tank,-92.1,41.2\nA,tank,-92.1,41.3\nB,tank,-92.10001,41.2\n"
          "C,tank,-92.1,41.20001\n");
    table("runs.csv",
          "id,footage,from,to\nL1,a.mp4,A,B\nL1,b.mp4,B,C\nL2,b.mp4,B,C\nL3,c.mp4,C,A\n"
          "L4,,A,A\n");
    table("ties.csv", "point,reference,distance\nA,A,1\nA,B,0\nB,C,-1\nB,nobody,3\n");
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_TRUE(fs::exists(folder_ / "job/asbuilt/asbuilt.gpkg"));
}

TEST_F(HostileJob, WithAllFixesOnOnePointIsWritten) {
    table("runs.csv", "id,footage\nL1,a.mp4\nL2,b.mp4\n");
    std::string fixes = "id,run,counter,lon,lat,depth (in),heading\n";
    for (int i = 0; i < 20; ++i) {
        fixes += "F" + std::to_string(i) + ",L1," + std::to_string(i) + ",-92.1,41.2,30,90\n";
    }
    table("fixes.csv", fixes);
    EXPECT_NE(process().exit_code, 3);
}

TEST_F(HostileJob, WithCellsOfTenThousandCharactersIsWritten) {
    const std::string big(10000, 'x');
    table("runs.csv", "id,footage,note\n" + big + ",a.mp4," + big + "\n");
    EXPECT_NE(process().exit_code, 3);
    // Tables of readings, of inclinations, of water and of marks for each of three.
    EXPECT_EQ(std::distance(fs::directory_iterator(folder_ / "job/asbuilt/readings"), {}), 12);
}

// Fixes that are all good: none of them can be left out as nonsense.
TEST_F(HostileJob, WithAMillionRowsSaysWhereItStoppedAndIsWritten) {
    table("runs.csv", "id,footage\nL1,a.mp4\nL2,b.mp4\n");
    std::string fixes = "id,run,counter,lon,lat,depth (in),heading\n";
    for (int i = 0; i < 1'000'000; ++i) fixes += "," + std::string("L1,5,-92.1,41.2,30,90\n");
    table("fixes.csv", fixes);
    const Outcome outcome = process();
    EXPECT_EQ(outcome.exit_code, 2);
    EXPECT_THAT(outcome.findings,
                testing::Contains(testing::Field(&Finding::what, HasSubstr("too large"))));
}

TEST_F(HostileJob, WithRunsOfNoLengthIsWrittenWithoutALength) {
    table("structures.csv", "id,kind,lon,lat\nA,tank,-92.1,41.2\nB,box,-92.1,41.2\n");
    table("runs.csv", "id,footage,from,to\nL1,a.mp4,A,B\nL2,b.mp4,A,\nL3,,A,B\n");
    table("fixes.csv", "id,run,counter,lon,lat\nF1,L2,0,-92.1,41.2\nF2,L2,0,-92.1,41.2\n");
    const TrackReader at_rest = [](const fs::path& clip, const ReadProgress& progress) {
        Track track = read(clip, progress);
        for (CounterSample& sample : track.samples) {
            sample.counter = 0.0;
            sample.state = CounterState::hold;
        }
        return track;
    };
    EXPECT_EQ(process_job(folder_ / "job", at_rest, {}).exit_code, 2);
    const auto data = nlohmann::json::parse(written("job.json"));
    for (const auto& run : data.at("layers").at("pipe_runs")) {
        const auto& length = run.at("length_m");
        EXPECT_TRUE(length.is_null() || length.get<double>() < 0.2) << run.at("run_id");
    }
}

TEST_F(HostileJob, WithSqlInItsNamesIsWrittenAndPublishedAsItStands) {
    const std::string sql = "L1'; DROP TABLE pipe_runs; --";
    const std::string other = "\\\" OR 1=1; DELETE FROM jobs; /*";
    table("structures.csv", "id,kind,lon,lat\n\"" + sql + "\",tank,-92.1,41.2\n");
    table("runs.csv", "id,footage,from,note\n\"" + sql + "\",a.mp4,\"" + sql + "\",\"" + sql +
                          "\"\n'" + other + "',b.mp4,,\n");
    EXPECT_NE(process().exit_code, 3);
    const std::string map = (folder_ / "map.gpkg").string();
    for (int i = 0; i < 2; ++i) EXPECT_EQ(publish_job(folder_ / "job", map).error, "");
    const auto data = nlohmann::json::parse(written("job.json"));
    EXPECT_EQ(data.at("layers").at("pipe_runs").at(0).at("run_id"), sql);
}

// Latin-1, as old recorders name their files; a file system takes any bytes.
TEST_F(HostileJob, WithNamesThatAreNoUtf8IsWritten) {
    const std::string name = "B\xfcro \xff.mp4";
    put(folder_ / "job" / name, "d");
    EXPECT_NE(process().exit_code, 3);
    EXPECT_TRUE(nlohmann::json::accept(written("job.json")));
    EXPECT_EQ(publish_job(folder_ / "job", (folder_ / "map.gpkg").string()).error, "");
}

TEST_F(HostileJob, WithFormulasForNamesOfClipsListsThemAsText) {
    const std::string name = "=cmd|' -C calc'!A0.mp4";
    fs::rename(folder_ / "job/a.mp4", folder_ / "job" / name);
    process();
    int rows = 0;
    for (const auto& entry : fs::directory_iterator(folder_ / "job/asbuilt/readings")) {
        std::istringstream lines(get(entry.path()));
        for (std::string line; std::getline(lines, line); ++rows) {
            EXPECT_NE(line.front(), '=') << entry.path();
        }
    }
    EXPECT_GT(rows, 600);
}

// What is not registered opens nothing, whatever a file holds.
TEST_F(HostileJob, MeetsOnlyTheDriversOfGdalThatItIsMeantFor) {
    process();
    publish_job(folder_ / "job", (folder_ / "map.gpkg").string());
    std::set<std::string> names;
    for (int i = 0; i < GetGDALDriverManager()->GetDriverCount(); ++i) {
        names.insert(GetGDALDriverManager()->GetDriver(i)->GetDescription());
    }
    const std::set<std::string> meant{
        "XLSX", "ODS",    "GPX",        "GeoJSON", "GPKG", "ESRI Shapefile",
        "DXF",  "LIBKML", "PostgreSQL", "GTiff",   "COG"};
    for (const std::string& name : names) EXPECT_TRUE(meant.contains(name)) << name;
    EXPECT_FALSE(names.empty());
}

}  // namespace
}  // namespace sondeline
