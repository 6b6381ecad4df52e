#include "pipeline/footage_start.hpp"

#include <gmock/gmock.h>

namespace sondeline {
namespace {

using testing::HasSubstr;

struct Made {
    Job job;
    std::vector<Track> tracks;
};

// One run of `clips` clips of a minute, and a fix at `fix` on 14 May 2026.
Made made(int clips, const std::string& fix) {
    Made all;
    all.job.settings.date = "2026-05-14";
    Run run;
    run.id = RunId{"L1"};
    for (int i = 0; i < clips; ++i) {
        Track track;
        track.clip.name = "part" + std::to_string(i) + ".mp4";
        track.clip.duration_s = 60.0;
        run.footage.push_back(track.clip.name);
        FootageFile file;
        file.name = track.clip.name;
        all.job.footage.push_back(file);
        all.tracks.push_back(track);
    }
    all.job.runs.push_back(run);
    Fix one;
    one.run = run.id;
    one.clock_s = Cell<double>{*parse_clock_s(fix, all.job.settings.date, 0.0), {}};
    all.job.fixes.push_back(one);
    return all;
}

OverlayClock clock_at(double start_s, bool twelve_hour = false) {
    OverlayClock clock;
    clock.start_s = start_s;
    clock.bound_s = 0.2;
    clock.twelve_hour = twelve_hour;
    return clock;
}

double at(const std::string& clock) {
    return *parse_clock_s(clock, "2026-05-14", 0.0);
}

TEST(FootageStart, IsTakenFromTheClockInThePicture) {
    Made all = made(1, "10:00:30");
    all.tracks[0].clock = clock_at(36000.5);
    const Job job = with_footage_start(all.job, all.tracks);
    ASSERT_TRUE(job.runs[0].footage_start_s.has_value());
    EXPECT_NEAR(job.runs[0].footage_start_s->value, at("10:00:00") + 0.5, 1e-6);
    EXPECT_EQ(job.runs[0].footage_start_s->source.file, "part0.mp4");
    ASSERT_FALSE(job.findings.empty());
    EXPECT_THAT(job.findings.back().what, HasSubstr("clock in the picture of part0.mp4"));
}

TEST(FootageStart, OfTheTableIsLeftAlone) {
    Made all = made(1, "10:00:30");
    all.tracks[0].clock = clock_at(36000.0);
    all.job.runs[0].footage_start_s = Cell<double>{at("09:59:00"), {}};
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_EQ(job.runs[0].footage_start_s->value, at("09:59:00"));
    EXPECT_TRUE(job.findings.empty());
}

TEST(FootageStart, IsNotSaidWhereNoFixAsksForIt) {
    Made all = made(1, "10:00:30");
    all.tracks[0].clock = clock_at(36000.0);
    all.job.fixes.clear();
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_FALSE(job.runs[0].footage_start_s.has_value());
    EXPECT_TRUE(job.findings.empty());
}

TEST(FootageStart, OfATwelveHourClockIsSettledByTheFixes) {
    Made all = made(1, "14:02:30");
    all.tracks[0].clock = clock_at(7320.0, true);  // 02:02:00
    const Job job = with_footage_start(all.job, all.tracks);
    ASSERT_TRUE(job.runs[0].footage_start_s.has_value());
    EXPECT_NEAR(job.runs[0].footage_start_s->value, at("14:02:00"), 1e-6);
}

TEST(FootageStart, OfATwelveHourClockIsWithheldWhenNoHalfOfTheDayFits) {
    Made all = made(1, "18:30:00");
    all.tracks[0].clock = clock_at(7320.0, true);
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_FALSE(job.runs[0].footage_start_s.has_value());
    EXPECT_THAT(job.findings.back().what, HasSubstr("morning or afternoon"));
}

TEST(FootageStart, OfSeveralClipsIsUsedOnlyWhenTheyFollowOneAnother) {
    Made all = made(2, "10:01:30");
    all.tracks[0].clock = clock_at(36000.0);
    all.tracks[1].clock = clock_at(36060.4);
    EXPECT_TRUE(with_footage_start(all.job, all.tracks).runs[0].footage_start_s.has_value());
    all.tracks[1].clock = clock_at(36200.0);  // two minutes were not filmed
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_FALSE(job.runs[0].footage_start_s.has_value());
    EXPECT_THAT(job.findings.back().what, HasSubstr("gap"));
}

TEST(FootageStart, IsNeverTheTimeThatTheFileWasMadeWhichIsOnlyTold) {
    Made all = made(1, "10:00:30");
    all.tracks[0].clip.creation_time_s = at("10:00:10");
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_FALSE(job.runs[0].footage_start_s.has_value());
    EXPECT_EQ(job.findings.back().severity, Severity::caution);
    EXPECT_THAT(job.findings.back().what, HasSubstr("10:00:10 on 2026-05-14"));
    EXPECT_THAT(job.findings.back().what_to_do, HasSubstr("footage_start"));
}

TEST(FootageStart, TellsTheTimeThatTheFileWasMadeInTheJobsZone) {
    Made all = made(1, "10:00:30");
    all.job.settings.utc_offset_s = -5 * 3600.0;
    all.tracks[0].clip.creation_time_s = at("02:00:10");
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_THAT(job.findings.back().what, HasSubstr("21:00:10 on 2026-05-13"));
}

TEST(FootageStart, SaysWhenTheDatesDiffer) {
    Made all = made(1, "10:00:30");
    all.tracks[0].clock = clock_at(36000.0);
    all.tracks[0].clock->date = "2026-05-13";
    const Job job = with_footage_start(all.job, all.tracks);
    EXPECT_EQ(job.findings.back().severity, Severity::caution);
    EXPECT_THAT(job.findings.back().what, HasSubstr("2026-05-13"));
}

}  // namespace
}  // namespace sondeline
