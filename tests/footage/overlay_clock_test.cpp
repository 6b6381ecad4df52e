#include "footage/overlay_clock.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "footage/lavfi_clip.hpp"
#include "support/footage.hpp"

namespace sondeline {
namespace {

// What a clock that shows `start_s` at the first frame shows, ten times a second.
std::vector<ClockSight> ticking(double start_s, double length_s, double rate = 1.0) {
    std::vector<ClockSight> sights;
    for (int i = 0; i < std::lround(10.0 * length_s); ++i) {
        const double now_s = start_s + rate * 0.1 * i;
        sights.push_back({0.1 * i, static_cast<int>(std::fmod(now_s, 86400.0)), 0.95F});
    }
    return sights;
}

TEST(ClockStart, IsFoundToATenthOfASecondFromTheTicks) {
    const ClockStart start = clock_start(ticking(36000.43, 20.0));
    EXPECT_TRUE(start.why_not.empty()) << start.why_not;
    EXPECT_NEAR(start.start_s, 36000.43, start.bound_s);
    EXPECT_LE(start.bound_s, 0.3);
}

TEST(ClockStart, IsFoundAcrossMidnight) {
    const ClockStart start = clock_start(ticking(86395.2, 20.0));
    EXPECT_TRUE(start.why_not.empty()) << start.why_not;
    EXPECT_NEAR(start.start_s, 86395.2, 0.3);
}

TEST(ClockStart, BearsAFewWrongSights) {
    std::vector<ClockSight> sights = ticking(36000.0, 20.0);
    for (std::size_t i = 3; i < sights.size(); i += 25) sights[i].second_of_day += 600;
    const ClockStart start = clock_start(sights);
    EXPECT_TRUE(start.why_not.empty()) << start.why_not;
    EXPECT_NEAR(start.start_s, 36000.0, 0.3);
}

TEST(ClockStart, IsWithheldFromANumberThatRunsAtAnotherRate) {
    EXPECT_NE(clock_start(ticking(36000.0, 30.0, 2.0)).why_not.find("second a second"),
              std::string::npos);
    EXPECT_FALSE(clock_start(ticking(36000.0, 30.0, 0.0)).why_not.empty());
}

TEST(ClockStart, IsWithheldWhenTheRecorderWasPausedOnTheWay) {
    std::vector<ClockSight> sights = ticking(36000.0, 40.0);
    for (ClockSight& sight : sights) {
        if (sight.time_s > 37.0) sight.second_of_day += 95;  // few, but the last ones
    }
    EXPECT_FALSE(clock_start(sights).why_not.empty());
}

TEST(ClockStart, IsWithheldFromTheRunningTimeOfTheRecording) {
    EXPECT_NE(clock_start(ticking(0.0, 30.0)).why_not.find("nought"), std::string::npos);
}

TEST(ClockStart, IsWithheldWhenItWasSeenForTooShortOrNotClearly) {
    EXPECT_FALSE(clock_start(ticking(36000.0, 2.0)).why_not.empty());
    std::vector<ClockSight> faint = ticking(36000.0, 30.0);
    for (ClockSight& sight : faint) sight.probability = 0.3F;
    EXPECT_FALSE(clock_start(faint).why_not.empty());
    EXPECT_FALSE(clock_start({}).why_not.empty());
}

TEST(DateOf, IsReadOnlyWhereItCanBeReadOneWay) {
    using Groups = std::vector<std::string>;
    EXPECT_EQ(date_of(Groups{"2026", "05", "14"}), "2026-05-14");
    EXPECT_EQ(date_of(Groups{"14", "05", "2026"}), "2026-05-14");
    EXPECT_EQ(date_of(Groups{"05", "14", "2026"}), "2026-05-14");
    EXPECT_EQ(date_of(Groups{"05", "05", "2026"}), "2026-05-05");
    EXPECT_EQ(date_of(Groups{"05", "06", "2026"}), "") << "the fifth of June or the sixth of May";
    EXPECT_EQ(date_of(Groups{"14", "15", "2026"}), "");
    EXPECT_EQ(date_of(Groups{"14", "05", "26"}), "") << "the year may stand at either end";
    EXPECT_EQ(date_of(Groups{"14", "05"}), "");
}

// A clip with a counter, whose other fields are given.
Track read_with(const ScratchFolder& folder, const std::string& fields) {
    const support::Scenario scenario = support::parse_scenario(
        R"({"seed": 21, "clock_s": 50523.7, "overlays": [[
            {"role": "counter", "x": 30, "y": -24, "look": "outline", "counter": {"places": 4}},)" +
        fields + R"(]], "story": [{"do": "hold", "for_s": 2}, {"do": "push", "to_m": 3},
            {"do": "hold", "for_s": 2}, {"do": "push", "to_m": 4}],
            "encoding": {"rate": "15"}})");
    support::make_footage(scenario, folder / "run.mkv");
    return read_clip(folder / "run.mkv");
}

TEST(OverlayClock, GivesTheTimeOfDayAtTheFirstFrameWithTheDate) {
    const ScratchFolder folder;
    const Track track =
        read_with(folder, R"({"role": "clock", "x": -30, "y": 20, "look": "outline"},
                   {"role": "date", "text": "14/05/2026", "x": 30, "y": 20, "look": "outline"})");
    ASSERT_TRUE(track.format.has_value());
    ASSERT_TRUE(track.clock.has_value());
    EXPECT_NEAR(track.clock->start_s, 50523.7, track.clock->bound_s);
    EXPECT_LE(track.clock->bound_s, 0.5);
    EXPECT_FALSE(track.clock->twelve_hour);
    EXPECT_EQ(track.clock->date, "2026-05-14");
}

TEST(OverlayClock, OfTwelveHoursLeavesTheHalfOfTheDayOpen) {
    const ScratchFolder folder;
    const Track track = read_with(
        folder, R"({"role": "clock", "text": "M", "x": -30, "y": 20, "look": "outline"})");
    ASSERT_TRUE(track.clock.has_value());
    EXPECT_TRUE(track.clock->twelve_hour);
    EXPECT_NEAR(track.clock->start_s, 50523.7 - 43200.0, track.clock->bound_s);
}

TEST(OverlayClock, IsNotTheRunningTimeOfTheRecording) {
    const ScratchFolder folder;
    const Track track =
        read_with(folder, R"({"role": "elapsed", "x": -30, "y": 20, "look": "outline"})");
    EXPECT_FALSE(track.clock.has_value());
}

}  // namespace
}  // namespace sondeline
