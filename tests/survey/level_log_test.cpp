#include "survey/level_log.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline {
namespace {

using testing::Each;
using testing::Field;
using testing::IsEmpty;
using testing::SizeIs;

// A run of ten metres by its counter, in metres.
struct TenMetres {
    Job job;
    Run run;
    JoinedTrack track;
    ReelReading reel;

    TenMetres() {
        run.id.text = "L1";
        track.clips = {"a.mp4"};
        track.clip_starts_s = {0.0};
        track.unit = CounterUnit::metre;
        track.grade_tick_percent = 0.1;
        for (const double pushed : {2.0, 12.0}) {
            PushSample sample;
            sample.sample.counter = pushed;
            sample.pushed = pushed;
            track.samples.push_back(sample);
        }
        reel.track = &track;
        reel.metres_per_count = 1.0;
        reel.start = 2.0;
        reel.length_m = figure(10.0);
    }

    void shows(double pushed, double percent) { track.grade.push_back({0, pushed, percent}); }
    std::vector<VerticalObservation> rows() const { return level_log_of(job, run, reel); }
};

TEST(LevelLogOfARun, IsTheFallOverHalfMetresFromTheStartStructure) {
    TenMetres ten;
    for (const double pushed : {3.1, 3.2, 3.3}) ten.shows(pushed, 2.0);
    const auto rows = ten.rows();
    ASSERT_THAT(rows, SizeIs(1));
    EXPECT_EQ(rows[0].kind, VerticalKind::level_log);
    EXPECT_NEAR(rows[0].x_m, 1.0, 1e-12);
    EXPECT_NEAR(rows[0].to_x_m, 1.5, 1e-12);
    EXPECT_NEAR(rows[0].depth_m.value, 0.02 * 0.5, 1e-12);
    EXPECT_NEAR(rows[0].depth_m.sd, 0.003 * 0.5, 1e-12);
}

TEST(LevelLogOfARun, TakesTheMiddleReadingAndTrustsItAsFarAsTheyAgree) {
    TenMetres ten;
    for (const double percent : {1.0, 2.0, 3.0, 2.0, 25.0}) ten.shows(5.1, percent);
    const auto rows = ten.rows();
    ASSERT_THAT(rows, SizeIs(1));
    EXPECT_NEAR(rows[0].depth_m.value, 0.01, 1e-12);
    EXPECT_GT(rows[0].depth_m.sd, 0.005 * 0.5);
}

TEST(LevelLogOfARun, LeavesOutWhatLiesBeforeOrBehindTheRunAndWhatHangsInADrop) {
    TenMetres ten;
    ten.shows(1.5, 2.0);
    ten.shows(13.0, 2.0);
    ten.shows(6.0, 80.0);
    EXPECT_THAT(ten.rows(), IsEmpty());
}

TEST(LevelLogOfARun, KeepsTheLogsOfItsClipsApart) {
    TenMetres ten;
    ten.track.clips.emplace_back("b.mp4");
    ten.shows(3.1, 2.0);
    ten.track.grade.push_back({1, 3.1, 2.5});
    const auto rows = ten.rows();
    ASSERT_THAT(rows, SizeIs(2));
    EXPECT_NE(rows[0].log, rows[1].log);
}

TEST(LevelLogOfARun, ComesFromTheTableWhereTheFootageShowsNone) {
    TenMetres ten;
    GradeReading reading;
    reading.run = ten.run.id;
    reading.counter = Cell<double>{4.25, {}};
    reading.percent = Cell<double>{-1.5, {}};
    ten.job.grade.push_back(reading);
    const auto rows = ten.rows();
    ASSERT_THAT(rows, SizeIs(1));
    EXPECT_NEAR(rows[0].depth_m.value, -0.015 * 0.5, 1e-12);
    ten.shows(3.1, 2.0);
    EXPECT_THAT(ten.rows(), Each(Field(&VerticalObservation::x_m, 1.0)));
}

TEST(LevelLogOfARun, IsNeverMoreThanTwoHundredPieces) {
    TenMetres ten;
    ten.reel.length_m = figure(400.0);
    for (int i = 0; i < 4000; ++i) ten.shows(2.0 + 0.1 * i, 1.0);
    EXPECT_LE(ten.rows().size(), 201u);
}

}  // namespace
}  // namespace sondeline
