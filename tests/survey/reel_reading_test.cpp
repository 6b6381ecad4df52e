#include "survey/reel_reading.hpp"

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

using made::reel_of;

// Two clips of ten seconds each, pushed at 0.1 m a second, with one of 30 s between them left out.
JoinedTrack two_clips() {
    JoinedTrack track;
    track.clips = {"a.mp4", "c.mp4"};
    track.clip_starts_s = {0.0, 40.0};
    track.unit = CounterUnit::metre;
    for (int clip = 0; clip < 2; ++clip) {
        for (int i = 0; i <= 100; ++i) {
            PushSample sample;
            sample.clip = clip;
            sample.sample.time_s = i / 10.0;
            sample.pushed = clip + i / 100.0;
            track.samples.push_back(sample);
        }
    }
    return track;
}

TEST(ReelReading, CountsVideoTimesThroughTheClipsOfTheRun) {
    const JoinedTrack track = two_clips();
    const ReelReading reel = reel_of(track);
    EXPECT_NEAR(x_of_video_time(reel, 5.05).value(), 0.505, 1e-9);
    EXPECT_NEAR(x_of_video_time(reel, 45.0).value(), 1.5, 1e-9);
    EXPECT_NEAR(x_of_video_time(reel, 10.5).value(), 1.0, 1e-9);  // within a second of a reading
    EXPECT_FALSE(x_of_video_time(reel, 20.0));                    // in the clip left out
    EXPECT_FALSE(x_of_video_time(reel, 60.0));
    EXPECT_FALSE(x_of_video_time(reel, -5.0));
}

TEST(ReelReading, GivesNoPlaceToTimesBehindAClipThatCannotBeTimed) {
    JoinedTrack track = two_clips();
    track.clip_starts_s[1].reset();
    const ReelReading reel = reel_of(track);
    EXPECT_TRUE(x_of_video_time(reel, 5.0));
    EXPECT_FALSE(x_of_video_time(reel, 15.0));
    EXPECT_FALSE(x_of_video_time(reel, 45.0));
}

TEST(ReelReading, AdvisesFeetForAPlaceBeyondTheEndOnlyWhereTheCounterWasReadInMetres) {
    const JoinedTrack track = made::pushed_between(0.0, 60.0);
    const auto advice = [&](LengthUnit unit, double counter) {
        const ReelReading reel = made::reel_in(unit, track);
        return outside_run(reel, *x_of_counter(reel, counter), unit).value().what_to_do;
    };
    EXPECT_NE(advice(LengthUnit::metre, 150.0).find("if it were in feet"), std::string::npos);
    EXPECT_EQ(advice(LengthUnit::metre, 250.0).find("feet"), std::string::npos);  // 76 m too far
    EXPECT_EQ(advice(LengthUnit::foot, 150.0).find("feet"), std::string::npos);
    EXPECT_EQ(advice(LengthUnit::us_survey_foot, 150.0).find("feet"), std::string::npos);
}

TEST(ReelReading, WithholdsTheLengthAndEveryPlaceWhileItIsNotSureWhereThePointStands) {
    JoinedTrack track = made::pushed_between(0.0, 60.0);
    track.unit = CounterUnit::metre;
    track.point_in_doubt = true;
    Findings findings;
    const ReelReading reel = read_reel(sondeline::Run{}, &track, JobSettings{}, findings);
    EXPECT_FALSE(reel.length_m);
    EXPECT_FALSE(x_of_video_time(reel, 50.0));
    EXPECT_TRUE(stand_stills(reel).empty());
    EXPECT_NEAR(x_of_counter(reel, 12.0).value(), 12.0, 1e-9);  // typed by who read it off
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_NE(findings[0].what_to_do.find("counter_decimals"), std::string::npos);
    track.point_in_doubt = false;
    EXPECT_TRUE(read_reel(sondeline::Run{}, &track, JobSettings{}, findings).length_m);
}

TEST(ReelReading, CautionsOfAStartThatNobodyGaveWhereTheFootageBeginsFarFromIt) {
    JoinedTrack track = made::pushed_between(0.7, 60.0);
    track.unit = CounterUnit::metre;
    track.tick = 0.1;
    Findings findings;
    const ReelReading reel = read_reel(sondeline::Run{}, &track, JobSettings{}, findings);
    EXPECT_TRUE(reel.start_assumed);
    EXPECT_NEAR(reel.start_doubt_m, 0.7, 1e-9);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].severity, Severity::caution);
    EXPECT_NE(findings[0].what.find("off by as much"), std::string::npos);
}

TEST(ReelReading, TellsOfATypedStartThatIsNotWhereTheFootageBegins) {
    JoinedTrack track = made::pushed_between(2.3, 60.0);
    track.unit = CounterUnit::metre;
    track.tick = 0.1;
    const auto told = [&](double start) {
        sondeline::Run run;
        run.counter_at_start = Cell<double>{start, {"runs.csv", 4, "counter at start"}};
        Findings findings;
        // Before its start footage may well begin, as in a tank; after it something is missing.
        EXPECT_EQ(read_reel(run, &track, JobSettings{}, findings).start_assumed, start < 2.3);
        return findings;
    };
    EXPECT_TRUE(told(2.3).empty());
    ASSERT_EQ(told(3.2).size(), 1U);
    EXPECT_NE(told(3.2)[0].what.find("begins with the counter at 2.3, before the 3.2"),
              std::string::npos);
    EXPECT_NE(told(1.3)[0].what.find("after the 1.3"), std::string::npos);
    EXPECT_NE(told(1.3)[0].what.find("a digit is wrong"), std::string::npos);
}

// A start written down for footage that begins at 2.3, counted in metres.
struct TypedStart {
    ReelReading reel;
    Findings findings;

    explicit TypedStart(double start) {
        track_.unit = CounterUnit::metre;
        track_.tick = 0.1;
        sondeline::Run run;
        run.counter_at_start = Cell<double>{start, {"runs.csv", 4, "counter at start"}};
        reel = read_reel(run, &track_, JobSettings{}, findings);
    }

  private:
    JoinedTrack track_ = made::pushed_between(2.3, 60.0);
};

// 23 written for 2.3: the lens would have been 20.7 m before the pipe.
TEST(ReelReading, BoundsBothStartsWhereTheFootageBeginsFarBeforeTheTypedOne) {
    const TypedStart typed(23.0);
    EXPECT_TRUE(typed.reel.start_assumed);
    EXPECT_NEAR(typed.reel.start_doubt_m, -20.7, 1e-9);
    ASSERT_EQ(typed.findings.size(), 1U);
    EXPECT_EQ(typed.findings[0].severity, Severity::caution);
    EXPECT_NE(typed.findings[0].what.find("a digit may be wrong"), std::string::npos);
}

// 0.3 written for 2.3, or the clip was begun 2 m on: a length may be given, and its bounds say so.
TEST(ReelReading, BoundsBothStartsWhereTheFootageBeginsAfterTheTypedOne) {
    const TypedStart typed(0.3);
    EXPECT_TRUE(typed.reel.start_assumed);
    EXPECT_NEAR(typed.reel.start_doubt_m, 2.0, 1e-9);
    EXPECT_TRUE(typed.reel.length_m);
}

// The counter was at 0 where the footage begins, or the clip was begun 2.3 m on.
TEST(ReelReading, BoundsBothStartsWhereANoughtWasWrittenDown) {
    const TypedStart typed(0.0);
    EXPECT_TRUE(typed.reel.start_assumed);
    EXPECT_NEAR(typed.reel.start_doubt_m, 2.3, 1e-9);
    ASSERT_EQ(typed.findings.size(), 1U);
    EXPECT_EQ(typed.findings[0].severity, Severity::caution);
    EXPECT_NE(typed.findings[0].what.find("nobody set"), std::string::npos);
}

TEST(ReelReading, TakesAPlaceJustBeyondEitherEndForOneOfTheRun) {
    const JoinedTrack track = made::pushed_between(0.0, 60.0);
    const ReelReading reel = made::reel_in(LengthUnit::metre, track);
    EXPECT_FALSE(outside_run(reel, -0.9, LengthUnit::metre));
    EXPECT_TRUE(outside_run(reel, -1.1, LengthUnit::metre));
    EXPECT_FALSE(outside_run(reel, 60.4, LengthUnit::metre));
    EXPECT_TRUE(outside_run(reel, 60.6, LengthUnit::metre));
}

}  // namespace
}  // namespace sondeline
