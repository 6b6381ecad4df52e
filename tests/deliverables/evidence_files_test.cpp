#include <fstream>

#include <gmock/gmock.h>
#include <unistd.h>

#include "sondeline/pipeline.hpp"

#include "deliverables/made_set.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::StartsWith;

TEST(GradeCsv, HoldsWhatTheCameraShowedOverTheCounter) {
    Track track;
    track.format = CounterFormat{{10, 20, 80, 24}, CounterUnit::foot, 0.99, 3, 1, true, "012.4 ft"};
    EXPECT_EQ(grade_csv(std::span(&track, 1)), "");
    track.clip.name = "c.mp4";
    track.grade = GradeLog{
        {5, 6, 50, 20}, InclinationUnit::degree, 0.1, {{1.5, 12.4, -1.0}, {2.0, 12.5, 45.0}}};
    const std::string text = grade_csv(std::span(&track, 1));
    // tan 1 degree = 0.017455 (a table of tangents): 1.75 percent.
    EXPECT_THAT(text, HasSubstr("clip,time_s,counter,inclination,percent\n"
                                "c.mp4,1.500,12.4,-1.0,-1.75\n"
                                "c.mp4,2.000,12.5,45.0,100.00\n"));
}

TEST(NamedEvidence, GivesEachPictureANameThatSortsByTime) {
    Track track;
    track.evidence = {
        {0.5, "first reading", "a"}, {12.34, "not read", "b"}, {12.34, "not read", "c"}};
    const auto named = named_evidence(track);
    ASSERT_EQ(named.size(), 3U);
    EXPECT_EQ(named[0].name, "00000.5s-first-reading.png");
    EXPECT_EQ(named[1].name, "00012.3s-not-read.png");
    EXPECT_EQ(named[2].name, "00012.3s-not-read-2.png");
}

TEST(EvidenceFiles, StandBesideTheMapAndGoWhenTheyAreNoLongerTrue) {
    const fs::path folder =
        fs::temp_directory_path() / ("sondeline-evidence-" + std::to_string(getpid()));
    fs::create_directories(folder);
    std::ofstream(folder / "north line.mp4") << "x";
    Track track;
    track.clip.name = "north line.mp4";
    track.format = CounterFormat{{10, 20, 80, 24}, CounterUnit::foot, 0.99, 3, 1, true, "012.4 ft"};
    track.evidence = {{0.5, "first reading", std::string("\x89PNG\0x", 6)}};
    track.grade = GradeLog{{}, InclinationUnit::percent, 0.1, {{0.5, 0.0, 1.2}}};
    const TrackReader reader = [&](const fs::path&, const ReadProgress&) { return track; };
    process_job(folder, reader);
    const fs::path out = folder / "asbuilt";
    EXPECT_EQ(text_of(out / "evidence/north_line/00000.5s-first-reading.png"),
              track.evidence[0].png);
    const std::string grade = text_of(out / "readings/north_line_grade.csv");
    EXPECT_THAT(grade, StartsWith("# north line.mp4: an inclination figure"));
    EXPECT_THAT(grade, HasSubstr("\nnorth line.mp4,0.500,0.0,1.2,1.20\n"));
    track.evidence.clear();
    track.grade.reset();
    process_job(folder, reader);
    EXPECT_FALSE(fs::exists(out / "evidence"));
    EXPECT_FALSE(fs::exists(out / "readings/north_line_grade.csv"));
    fs::remove_all(folder);
}

}  // namespace
}  // namespace sondeline
