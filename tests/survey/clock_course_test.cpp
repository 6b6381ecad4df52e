#include "survey/clock_course.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "survey/made_reel.hpp"

namespace sondeline {
namespace {

using made::reel_of;

// Pushed at 0.1 m/s for 200 s, then held for 100 s; a reading each half second.
JoinedTrack push_and_hold() {
    JoinedTrack track;
    track.clips = {"a.mp4"};
    track.clip_starts_s = {0.0};
    track.unit = CounterUnit::metre;
    track.tick = 0.01;
    for (int i = 0; i <= 600; ++i) {
        const double time_s = 0.5 * i;
        PushSample sample;
        sample.sample = {time_s, std::min(20.0, 0.1 * time_s), 1.0, CounterState::push, ""};
        sample.pushed = sample.sample.counter;
        track.samples.push_back(sample);
    }
    return track;
}

TEST(ClockCourse, TellsWhereTheHeadWasForClocksThatDiffer) {
    const JoinedTrack track = push_and_hold();
    const ClockCourse course = clock_course(reel_of(track), 100.0, 0.5);
    ASSERT_EQ(course.x_m.size(), 301U);
    EXPECT_NEAR(*course.x_m[150], 10.0 - 0.5, 1e-9);
    EXPECT_NEAR(*course.x_m[150 + 10], 12.0 - 0.5, 1e-9);  // a camera 20 s ahead
    EXPECT_NEAR(*course.x_m[150 - 10], 8.0 - 0.5, 1e-9);
    EXPECT_NEAR(*course.x_m[150 + 75], 20.0 - 0.5, 1e-9);  // held by then
    EXPECT_FALSE(course.x_m[0].has_value());               // before the footage
    EXPECT_FALSE(course.x_m[300].has_value());
}

TEST(ClockCourse, TrustsAMomentLessWhileTheHeadMoves) {
    const JoinedTrack track = push_and_hold();
    EXPECT_NEAR(station_sd_m(reel_of(track), 100.0, 2.0), std::hypot(0.04, 0.2), 1e-9);
    EXPECT_NEAR(station_sd_m(reel_of(track), 250.0, 2.0), 0.04, 1e-9);
}

}  // namespace
}  // namespace sondeline
