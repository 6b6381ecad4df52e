#include <cmath>

#include <gmock/gmock.h>

#include "sondeline/footage.hpp"

#include "footage/holds.hpp"

namespace sondeline {
namespace {

using ::testing::DoubleNear;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

// Readings ten times a second; an empty one is unread.
using Readings = std::vector<std::optional<double>>;

Readings ramp(double from, double to, double step = 0.1) {
    Readings readings;
    const int count = static_cast<int>(std::lround(std::abs(to - from) / step));
    for (int i = 0; i <= count; ++i) {
        const double value = from + (to > from ? i : -i) * step;
        readings.emplace_back(std::round(value * 100.0) / 100.0);
    }
    return readings;
}

Readings operator+(Readings a, const Readings& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

Readings standing(double counter, int samples) {
    return Readings(static_cast<std::size_t>(samples), counter);
}

Readings unread(int samples) {
    return Readings(static_cast<std::size_t>(samples));
}

Track track(const std::string& name, const Readings& readings, CounterUnit unit = CounterUnit::foot,
            int decimals = 1) {
    Track made;
    made.clip.name = name;
    made.format.emplace();
    made.format->unit = unit;
    made.format->decimals = decimals;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        CounterSample sample;
        sample.time_s = static_cast<double>(i) / 10.0;
        sample.counter = readings[i];
        made.samples.push_back(sample);
    }
    made.zeroings =
        find_events(made.samples, made.format->tick(), metres_per_count(unit, LengthUnit::foot))
            .zeroings;
    return made;
}

JoinedTrack join(const std::vector<Track>& tracks) {
    return join_clips(tracks);
}

TEST(JoinedClips, OfOneClipAreThatClip) {
    const JoinedTrack joined = join({track("a", ramp(0, 20) + ramp(20, 12))});
    EXPECT_THAT(joined.clips, ElementsAre("a"));
    EXPECT_EQ(joined.unit, CounterUnit::foot);
    ASSERT_TRUE(joined.furthest);
    EXPECT_DOUBLE_EQ(joined.furthest->pushed, 20.0);
    EXPECT_DOUBLE_EQ(joined.furthest->time_s, 20.0);
    EXPECT_DOUBLE_EQ(joined.first->pushed, 0.0);
    EXPECT_TRUE(joined.continuous);
    EXPECT_THAT(joined.parts, ElementsAre(DoubleNear(20.0, 1e-9)));
    EXPECT_DOUBLE_EQ(joined.coverage, 1.0);
    EXPECT_TRUE(joined.findings.empty());
}

TEST(JoinedClips, CountOnAcrossAZeroing) {
    const JoinedTrack joined =
        join({track("a", ramp(0, 14.2) + standing(14.2, 20) + standing(0, 20) + ramp(0, 6))});
    EXPECT_TRUE(joined.continuous);
    EXPECT_NEAR(joined.furthest->pushed, 20.2, 1e-9);
    EXPECT_NEAR(joined.furthest->counter, 6.0, 1e-9);
    EXPECT_THAT(joined.parts, ElementsAre(DoubleNear(20.2, 1e-9)));
}

TEST(JoinedClips, StopWhereAZeroingWasNotSeen) {
    const JoinedTrack joined =
        join({track("a", ramp(0, 60) + unread(40) + standing(0, 20) + ramp(0, 6))});
    EXPECT_FALSE(joined.continuous);
    EXPECT_NEAR(joined.furthest->pushed, 60.0, 1e-9);
    EXPECT_FALSE(joined.samples.back().pushed);
    EXPECT_THAT(joined.parts, ElementsAre(DoubleNear(60.0, 1e-9), DoubleNear(6.0, 1e-9)));
    ASSERT_EQ(joined.findings.size(), 1U);
    EXPECT_THAT(joined.findings[0].what, HasSubstr("cannot be known"));
}

TEST(JoinedClips, GoOnWhereTheReadingsMeetOrOverlap) {
    const JoinedTrack meeting = join({track("a", ramp(0, 20)), track("b", ramp(20.4, 31))});
    EXPECT_TRUE(meeting.continuous);
    EXPECT_NEAR(meeting.furthest->pushed, 31.0, 1e-9);
    EXPECT_EQ(meeting.furthest->clip, 1);
    const JoinedTrack overlapping = join({track("a", ramp(0, 20)), track("b", ramp(17, 31))});
    EXPECT_TRUE(overlapping.continuous);
    EXPECT_NEAR(overlapping.furthest->pushed, 31.0, 1e-9);
}

TEST(JoinedClips, DoNotGuessAcrossAGap) {
    const JoinedTrack joined = join({track("a", ramp(0, 20)), track("b", ramp(25, 31))});
    EXPECT_FALSE(joined.continuous);
    EXPECT_NEAR(joined.furthest->pushed, 20.0, 1e-9);
    EXPECT_THAT(joined.parts, ElementsAre(DoubleNear(20.0, 1e-9), DoubleNear(6.0, 1e-9)));
    ASSERT_EQ(joined.findings.size(), 1U);
    EXPECT_EQ(joined.findings[0].where.file, "b");
}

TEST(JoinedClips, TakeACounterThatBeginsAtNaughtAsSetAnew) {
    const JoinedTrack joined = join({track("a", ramp(0, 20)), track("b", ramp(0, 8))});
    EXPECT_FALSE(joined.continuous);
}

TEST(JoinedClips, BeginAfterThoseLeftOutBeforeThem) {
    Track blank;
    blank.clip.name = "b";
    blank.clip.duration_s = 30.0;
    const JoinedTrack timed = join({track("a", ramp(0, 5)), blank, track("c", ramp(5, 9))});
    ASSERT_THAT(timed.clip_starts_s, testing::SizeIs(2));
    EXPECT_DOUBLE_EQ(timed.clip_starts_s[0].value(), 0.0);
    EXPECT_NEAR(timed.clip_starts_s[1].value(), 35.0, 1e-9);
    blank.clip.duration_s = 0.0;  // cannot be opened
    const JoinedTrack untimed = join({track("a", ramp(0, 5)), blank, track("c", ramp(5, 9))});
    EXPECT_TRUE(untimed.clip_starts_s.at(0));
    EXPECT_FALSE(untimed.clip_starts_s.at(1));
}

TEST(JoinedClips, LeaveOutAClipWithoutReadings) {
    Track blank;
    blank.clip.name = "b";
    const JoinedTrack joined = join({track("a", ramp(0, 5)), blank, track("c", ramp(5, 9))});
    EXPECT_THAT(joined.clips, ElementsAre("a", "c"));
    EXPECT_TRUE(joined.continuous);
    EXPECT_NEAR(joined.furthest->pushed, 9.0, 1e-9);
    ASSERT_EQ(joined.findings.size(), 1U);
    EXPECT_EQ(joined.findings[0].where.file, "b");
}

TEST(JoinedClips, TellTheTimeUnreadBesideTheFurthestReading) {
    const JoinedTrack joined = join({track("a", ramp(0, 20) + unread(29) + ramp(18, 12))});
    EXPECT_NEAR(joined.unread_before_reach_s, 2.9, 0.11);
    EXPECT_EQ(join({track("a", ramp(0, 20) + ramp(20, 12))}).unread_before_reach_s, 0.0);
}

TEST(JoinedClips, ConvertAnotherUnit) {
    // 6.10 m is 20.01 ft (international foot, NIST SP 811).
    const JoinedTrack joined =
        join({track("a", ramp(0, 20)), track("b", ramp(6.10, 9.14, 0.02), CounterUnit::metre, 2)});
    EXPECT_TRUE(joined.continuous);
    EXPECT_NEAR(joined.furthest->pushed, 9.14 / 0.3048, 1e-6);
    EXPECT_DOUBLE_EQ(joined.tick, 0.1);
    EXPECT_EQ(joined.findings.size(), 1U);
}

// 3.05 m is 10.007 ft (international foot, NIST SP 811).
TEST(JoinedClips, TakeTheSpacingOfJointsFromTheClipThatTellsItBest) {
    Track rough = track("a", ramp(0, 20));
    rough.joint_row = JointRow{{10.3, 0.05}, 1.0, 19.0, 3};
    Track fine = track("b", ramp(6.10, 9.14, 0.02), CounterUnit::metre, 2);
    fine.joint_row = JointRow{{3.05, 0.001}, 6.2, 9.1, 3};
    const JoinedTrack joined = join({rough, fine});
    ASSERT_TRUE(joined.joint_spacing);
    EXPECT_NEAR(joined.joint_spacing->value, 3.05 / 0.3048, 1e-9);
    EXPECT_NEAR(joined.joint_spacing->sd, 0.001 / 0.3048, 1e-9);
    EXPECT_FALSE(join({track("a", ramp(0, 20))}).joint_spacing);
}

TEST(JoinedClips, OfNothingAreEmpty) {
    const JoinedTrack joined = join({});
    EXPECT_FALSE(joined.first);
    EXPECT_FALSE(joined.furthest);
    EXPECT_TRUE(joined.parts.empty());
    EXPECT_EQ(joined.coverage, 0.0);
}

TEST(JoinedClips, CarryTheCamerasLevelAlongTheContinuousCounter) {
    // The counter is set to naught at 2.0, while the head stands.
    Track made =
        track("a.mp4", ramp(0.0, 2.0) + standing(2.0, 20) + standing(0.0, 20) + ramp(0.0, 1.0));
    made.grade.emplace();
    made.grade->unit = InclinationUnit::degree;
    for (const std::size_t i : {10U, 65U}) {
        const CounterSample& sample = made.samples[i];
        made.grade->points.push_back({sample.time_s, *sample.counter, 1.0});
    }
    const JoinedTrack joined = join_clips(std::span(&made, 1));
    ASSERT_EQ(joined.grade.size(), 2U);
    EXPECT_NEAR(joined.grade[0].pushed, 1.0, 1e-9);
    EXPECT_NEAR(joined.grade[1].pushed, 2.0 + *made.samples[65].counter, 1e-9);
    EXPECT_NEAR(joined.grade[0].percent, 1.7455, 1e-4);  // tan 1° = 0.0174551
    made.grade->unit = InclinationUnit::unknown;
    EXPECT_TRUE(join_clips(std::span(&made, 1)).grade.empty());
}

TEST(JoinedClips, CarryWhatWasLookedAlongIntoTheCounterOfTheRun) {
    // The second clip goes on in metres where the first, in feet, ended: 6.1 m are 20.01 ft.
    Track first = track("a", ramp(0, 20));
    Track second = track("b", ramp(6.1, 9.1), CounterUnit::metre);
    second.water.emplace();
    second.water->reaches = {{6.5, 8.5, 0.12, true}};
    const JoinedTrack joined = join({first, second});
    ASSERT_EQ(joined.water_reaches.size(), 1U);
    EXPECT_NEAR(joined.water_reaches[0].from, 6.5 / 0.3048, 1e-6);
    EXPECT_NEAR(joined.water_reaches[0].to, 8.5 / 0.3048, 1e-6);
    EXPECT_EQ(joined.water_reaches[0].sure_share, 0.12);
    EXPECT_TRUE(joined.water_reaches[0].left_open);
}

TEST(JoinedClips, CarryTheTurnsSeenIntoTheCounterOfTheRun) {
    Track first = track("a", ramp(0, 20));
    first.marks = {{PassingKind::ring, 3.0, 30.0, 3.0}, {PassingKind::turn, 5.0, 50.0, 5.0}};
    Track second = track("b", ramp(6.1, 9.1), CounterUnit::metre);
    second.marks = {{PassingKind::turn, 7.5, 14.0, 7.5}};
    const JoinedTrack joined = join({first, second});
    ASSERT_EQ(joined.turns.size(), 2U);
    EXPECT_EQ(joined.turns[0].clip, 0);
    EXPECT_NEAR(joined.turns[0].pushed, 5.0, 1e-9);
    EXPECT_EQ(joined.turns[1].clip, 1);
    EXPECT_NEAR(joined.turns[1].pushed, 7.5 / 0.3048, 1e-6);
    EXPECT_EQ(joined.turns[1].time_s, 14.0);
}

}  // namespace
}  // namespace sondeline
