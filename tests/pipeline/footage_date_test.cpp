#include "pipeline/footage_date.hpp"

#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pipeline/overlay_unit.hpp"

namespace sondeline {
namespace {

namespace fs = std::filesystem;
using testing::AllOf;
using testing::Contains;
using testing::Field;
using testing::HasSubstr;

// 1700000000 is 2023-11-14 at 22:13:20 UTC (POSIX time; `date -u -d @1700000000` of GNU coreutils).
constexpr double kLateInTheEvening_s = 1700000000.0;

// A folder with a fix that is given by a bare clock time.
Job job_with(const std::string& name, const std::string& settings) {
    const fs::path folder = fs::path(testing::TempDir()) / name;
    fs::create_directories(folder);
    std::ofstream(folder / "job.csv") << "key,value\n" << settings;
    std::ofstream(folder / "runs.csv") << "id,kind\nL1,lateral\n";
    std::ofstream(folder / "fixes.csv") << "id,run,clock,depth (in)\nF1,L1,10:30:00,30\n";
    return read_job_folder(folder);
}

Job with_day(const Job& job, const std::vector<ClipDay>& clips) {
    return with_overlay_unit(job, {}, footage_day(job.settings, clips));
}

TEST(FootageDate, IsThatOfTheNewestPictureAndDatesBareClockTimes) {
    const Job job =
        with_day(job_with("date_in_pictures", ""), {{"a.mp4", "2023-11-12", kLateInTheEvening_s},
                                                    {"b.mp4", "2023-11-13", std::nullopt},
                                                    {"c.mp4", "", kLateInTheEvening_s}});
    EXPECT_EQ(job.settings.date, "2023-11-13");
    ASSERT_EQ(job.fixes.size(), 1U);
    EXPECT_TRUE(job.fixes[0].clock_s.has_value());
    EXPECT_THAT(job.findings,
                Contains(AllOf(Field(&Finding::severity, Severity::info),
                               Field(&Finding::what, HasSubstr("the picture of b.mp4")))));
    for (const Finding& finding : job.findings) {
        EXPECT_THAT(finding.what, testing::Not(HasSubstr("the job has no date")));
    }
}

TEST(FootageDate, OfAFileIsThatOfTheJobsZone) {
    const std::vector<ClipDay> clips{{"a.mp4", "", kLateInTheEvening_s}};
    EXPECT_EQ(with_day(job_with("made_in_utc", ""), clips).settings.date, "2023-11-14");
    const Job east = with_day(job_with("made_in_the_east", "utc offset,+02:00\n"), clips);
    EXPECT_EQ(east.settings.date, "2023-11-15");
    EXPECT_THAT(east.findings, Contains(Field(&Finding::what, HasSubstr("the file a.mp4 says"))));
}

TEST(FootageDate, IsNotAskedWhereTheTableSaysOne) {
    const Job job = with_day(job_with("date_in_table", "date,2023-11-01\n"),
                             {{"a.mp4", "2023-11-13", kLateInTheEvening_s}});
    EXPECT_EQ(job.settings.date, "2023-11-01");
}

TEST(FootageDate, OfARecorderWhoseClockWasNeverSetIsNone) {
    const Job job = with_day(job_with("no_date", ""), {{"a.mp4", "", 0.0}, {"b.mp4", "", {}}});
    EXPECT_EQ(job.settings.date, "");
}

TEST(FootageDate, OutlivesTheUnitThatThePicturesShow) {
    const Job job = job_with("date_and_unit", "length unit,m\nsonde setback,0.1\n");
    JoinedTrack track;
    track.unit = CounterUnit::foot;
    RunTracks tracks;
    tracks.emplace(RunId{"L1"}, track);
    const Job again = with_overlay_unit(
        job, tracks, footage_day(job.settings, {{"a.mp4", "2023-11-13", std::nullopt}}));
    EXPECT_EQ(again.settings.date, "2023-11-13");
    EXPECT_TRUE(again.fixes.at(0).clock_s.has_value());
}

TEST(FootageDate, OtherThanTheJobsIsToldWithTheClipsThatShowIt) {
    JobSettings settings;
    settings.date = "2023-11-14";
    const Findings findings = tell_other_days(settings,
                                              {{"a.mp4", "2023-11-14", {}},
                                               {"b.mp4", "2023-11-12", {}},
                                               {"c.mp4", "", kLateInTheEvening_s},
                                               {"d.mp4", "2023-11-12", {}}},
                                              {});
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_THAT(findings[0].what, AllOf(HasSubstr("b.mp4, d.mp4 shows the day 2023-11-12"),
                                        HasSubstr("the job is of 2023-11-14")));
}

TEST(FootageDate, OfOneClipThatDiffersFromTheNewestIsToldWithoutATableToo) {
    const JobSettings settings;
    const std::vector<ClipDay> clips{{"a.mp4", "2023-11-12", {}}, {"b.mp4", "2023-11-14", {}}};
    const Findings findings = tell_other_days(settings, clips, footage_day(settings, clips));
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_THAT(findings[0].what, HasSubstr("a.mp4"));
}

}  // namespace
}  // namespace sondeline
