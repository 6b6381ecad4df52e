#include <chrono>

#include <sys/stat.h>

#include "intake/job_on_disk.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;

using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

TEST(JobFolder, ThatIsNotThereGivesAnEmptyJobAndAProblem) {
    const Job job = read_job_folder("/nonexistent/folder");
    EXPECT_THAT(job.runs, IsEmpty());
    ASSERT_THAT(job.findings, SizeIs(1));
    EXPECT_EQ(job.findings[0].severity, Severity::problem);
    EXPECT_THAT(job.findings, Contains(Finds("/nonexistent/folder", "cannot be read")));
}

TEST(JobFolder, ThatIsEmptyGivesAnEmptyJob) {
    const Job job = JobOnDisk().read();
    EXPECT_THAT(job.runs, IsEmpty());
    EXPECT_FALSE(job.runs_from_footage);
    EXPECT_THAT(job.inputs, IsEmpty());
}

TEST(JobFolder, ListsWhatItRead) {
    JobOnDisk folder;
    folder.file("Runs.CSV", "id,status\nL1,not entered\n").file("terrain.tif", "raster");
    folder.file("stuff.csv", "a,b\n1,2\n").file("fixes.xls", "old").file("letter.pdf", "x");
    const Job job = folder.read();
    ASSERT_THAT(job.inputs, SizeIs(2));
    EXPECT_EQ(job.inputs[0].name, "Runs.CSV");
    EXPECT_EQ(job.inputs[1].name, "terrain.tif");
    EXPECT_EQ(job.terrain, folder.path() / "terrain.tif");
    EXPECT_THAT(job.runs, SizeIs(1));
    EXPECT_THAT(job.findings, Contains(Finds("stuff.csv", "none of the tables")));
    EXPECT_THAT(job.findings, Contains(Finds("fixes.xls", "of this kind")));
    EXPECT_THAT(job.findings, Not(Contains(Finds("letter.pdf", ""))));
}

TEST(JobFolder, ReadsTheSameTwice) {
    JobOnDisk folder;
    folder.clip("b.mp4").clip("a.mp4");
    folder.file("fixes.csv", "run,counter,depth,odd\na,1,x,1\nb,2,3,2\nc,1,1,1\n");
    EXPECT_EQ(text_of(folder.read().findings), text_of(folder.read().findings));
}

TEST(HostileInput, UnderTheNameOfATableIsReported) {
    JobOnDisk folder;
    fs::create_directory(folder.path() / "fixes.csv");
    std::string binary;
    for (int i = 0; i < 100'000; ++i) binary += static_cast<char>(i * 7919 % 256);
    for (const char* name : {"runs.csv", "structures.gpx", "structures.gpkg", "structures.shp",
                             "structures.geojson", "levels.csv", "day.xlsx", "day.ods"}) {
        folder.file(name, binary);
    }
    const Job job = folder.read();
    EXPECT_THAT(job.structures, IsEmpty());
    EXPECT_THAT(job.findings, Contains(Finds("fixes.csv", "This is no file")));
    EXPECT_THAT(job.findings, Contains(Finds("runs.csv", "no text")));
    for (const char* name : {"structures.gpx", "structures.gpkg", "structures.shp",
                             "structures.geojson", "day.xlsx", "day.ods"}) {
        EXPECT_THAT(job.findings, Contains(Finds(name, "cannot be read"))) << text_of(job.findings);
    }
}

TEST(HostileInput, EmptyFilesAreReadAsNothing) {
    JobOnDisk folder;
    folder.file("runs.csv", "").file("job.csv", "\n\n").file("fixes.csv", "id,run,counter\n");
    const Job job = folder.read();
    EXPECT_THAT(job.runs, IsEmpty());
    EXPECT_THAT(job.fixes, IsEmpty());
}

TEST(HostileInput, APipeUnderTheNameOfATableIsNotWaitedFor) {
    JobOnDisk folder;
    ASSERT_EQ(mkfifo((folder.path() / "fixes.csv").c_str(), 0600), 0);
    EXPECT_THAT(folder.read().findings, Contains(Finds("fixes.csv", "This is no file")));
}

TEST(HostileInput, LongCellsAreShownShort) {
    JobOnDisk folder;
    folder.file("structures.csv", "id,ground,kind\nT1," + std::string(10'000, '9') + "m," +
                                      std::string(10'000, 'k') + "\n");
    const Job job = folder.read();
    EXPECT_THAT(job.structures, SizeIs(1));
    EXPECT_THAT(job.findings, SizeIs(2));
    for (const Finding& finding : job.findings) EXPECT_LT(finding.what.size(), 200U);
}

TEST(HostileInput, InvalidBytesAndControlCharactersNeverReachAFinding) {
    JobOnDisk folder;
    folder.file("structures.csv",
                "id,ground\nT\x1b[31m,\x07"
                "1\x02\n");
    folder.clip("clip\xff\x1b.mp4");
    const Job job = folder.read();
    for (const Finding& finding : job.findings) {
        EXPECT_EQ(finding.what.find_first_of("\x1b\x07\x02\xff"), std::string::npos);
    }
    ASSERT_THAT(job.footage, SizeIs(1));
    EXPECT_EQ(job.footage[0].name.find_first_of("\x1b\xff"), std::string::npos);
    EXPECT_TRUE(fs::exists(job.footage[0].path));
    EXPECT_THAT(job.runs.at(0).footage, ElementsAre(job.footage[0].name));
}

TEST(HostileInput, ThousandsOfBadCellsGiveAReadableNumberOfFindings) {
    JobOnDisk folder;
    std::string rows = "id,ground\n";
    for (int i = 0; i < 20'000; ++i) rows += "T" + std::to_string(i) + ",bad\n";
    folder.file("structures.csv", rows);
    const Job job = folder.read();
    EXPECT_THAT(job.structures, SizeIs(20'000));
    EXPECT_LT(job.findings.size(), 300U);
    EXPECT_THAT(job.findings, Contains(Finds("structures.csv", "19800 more findings")));
}

TEST(JobFolder, OfAnOrdinaryDayIsReadInAMoment) {
    JobOnDisk folder;
    std::string rows = "id,run,counter,lon,lat,depth (in)\n";
    for (int i = 0; i < 500; ++i) {
        rows += "F" + std::to_string(i) + ",L1," + std::to_string(i) + ",-92.5,40.0,30\n";
    }
    folder.file("runs.csv", "id,status\nL1,not entered\n").file("fixes.csv", rows);
    const auto before = std::chrono::steady_clock::now();
    EXPECT_THAT(folder.read().fixes, SizeIs(500));
    EXPECT_LT(std::chrono::steady_clock::now() - before, std::chrono::seconds(1));
}

}  // namespace
}  // namespace sondeline
