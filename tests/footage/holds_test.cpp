#include "footage/holds.hpp"

#include <cmath>
#include <sstream>

#include <gmock/gmock.h>

namespace sondeline {
namespace {

constexpr double kFoot_m = 0.3048;

// "0:0, 4:0, 4:5.0": knots of time and counter, read ten times a second, rounded to a tenth; "-"
// for unread from that knot to the next.
std::vector<CounterSample> readings(const std::string& knots) {
    struct Knot {
        double time_s;
        double counter;
        bool unread;
    };
    std::vector<Knot> parsed;
    std::istringstream words(knots);
    std::string word;
    while (std::getline(words, word, ',')) {
        const std::size_t colon = word.find(':');
        const std::string value = word.substr(colon + 1);
        const bool unread = value == "-";
        parsed.push_back({std::stod(word), unread ? 0.0 : std::stod(value), unread});
    }
    std::vector<CounterSample> samples;
    std::size_t at = 0;
    const int last = static_cast<int>(std::lround(parsed.back().time_s * 10));
    for (int i = 0; i <= last; ++i) {
        const double time_s = i / 10.0;
        while (at + 1 < parsed.size() && parsed[at + 1].time_s <= time_s + 1e-9) ++at;
        CounterSample sample;
        sample.time_s = time_s;
        if (!parsed[at].unread) {
            double value = parsed[at].counter;
            if (at + 1 < parsed.size() && !parsed[at + 1].unread) {
                const Knot& next = parsed[at + 1];
                value += (next.counter - value) * (time_s - parsed[at].time_s) /
                         (next.time_s - parsed[at].time_s);
            }
            sample.counter = std::round(value * 10.0) / 10.0;
            sample.probability = 1.0;
        }
        samples.push_back(sample);
    }
    return samples;
}

CounterEvents events_of(std::vector<CounterSample>& samples) {
    return find_events(samples, 0.1, kFoot_m);
}

TEST(Holds, AreWhereTheCounterStandsForTwoSeconds) {
    auto samples = readings("0:0,3:0,8:5,12:5,14:7,15:7");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.holds.size(), 2U);
    EXPECT_NEAR(events.holds[0].from_s, 0.0, 0.01);
    EXPECT_NEAR(events.holds[0].to_s, 3.0, 0.15);
    EXPECT_NEAR(events.holds[1].from_s, 8.0, 0.15);
    EXPECT_NEAR(events.holds[1].to_s, 12.0, 0.15);
    EXPECT_DOUBLE_EQ(events.holds[1].counter, 5.0);
    EXPECT_TRUE(events.zeroings.empty());
    EXPECT_TRUE(events.pull_backs.empty());
}

TEST(Holds, OutlastAFlickerOfOneTick) {
    auto samples = readings("0:3,4:3");
    samples[20].counter = 3.1;
    samples[21].counter = 3.1;
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.holds.size(), 1U);
    EXPECT_NEAR(events.holds[0].to_s - events.holds[0].from_s, 4.0, 0.01);
    EXPECT_EQ(samples[20].state, CounterState::hold);
}

TEST(Holds, AreNotBridgedOverALongUnreadStretch) {
    auto samples = readings("0:3,4:3,4.1:-,9:3,12:3");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.holds.size(), 2U);
    EXPECT_NEAR(events.holds[0].to_s, 4.0, 0.15);
    EXPECT_NEAR(events.holds[1].from_s, 9.0, 0.15);
}

TEST(CounterStates, FollowTheHead) {
    auto samples = readings("0:0,3:0,8:5,11:5,13:3,15:3,15.1:-,16:3");
    events_of(samples);
    EXPECT_EQ(samples[10].state, CounterState::hold);
    EXPECT_EQ(samples[50].state, CounterState::push);
    EXPECT_EQ(samples[95].state, CounterState::hold);
    EXPECT_EQ(samples[120].state, CounterState::pull);
    EXPECT_EQ(samples[155].state, CounterState::missing);
}

TEST(Zeroings, AreStepsThatNoHeadCanMake) {
    auto samples = readings("0:14.2,3:14.2,3.1:0,6:0,9:3");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.zeroings.size(), 1U);
    EXPECT_NEAR(events.zeroings[0].time_s, 3.1, 0.01);
    EXPECT_DOUBLE_EQ(events.zeroings[0].counter_before, 14.2);
    EXPECT_DOUBLE_EQ(events.zeroings[0].counter_after, 0.0);
    EXPECT_TRUE(events.zeroings[0].gap_known);
    EXPECT_EQ(samples[31].state, CounterState::zero);
    EXPECT_TRUE(events.pull_backs.empty());
}

TEST(Zeroings, OfASmallReadingAreToldByTheStandsAroundThem) {
    auto samples = readings("0:0.8,3:0.8,3.1:0,6:0,9:3");
    EXPECT_EQ(events_of(samples).zeroings.size(), 1U);
}

// From the push alone, 3 m in a second could have been drawn back.
TEST(Zeroings, AreTakenOverWhereTheReadingKnowsOfThem) {
    auto samples = readings("0:5,5:10,5.1:-,6:0.1,10:4");
    EXPECT_TRUE(events_of(samples).zeroings.empty());
    samples = readings("0:5,5:10,5.1:-,6:0.1,10:4");
    samples[60].state = CounterState::zero;
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.zeroings.size(), 1U);
    EXPECT_NEAR(events.zeroings[0].time_s, 6.0, 0.01);
    EXPECT_TRUE(events.pull_backs.empty());
    EXPECT_EQ(events_of(samples).zeroings.size(), 1U) << "of samples that were judged before";
}

TEST(Zeroings, AreNotCalledKnownAcrossALongUnreadStretch) {
    auto samples = readings("0:60,3:60,3.1:-,8:0,12:0");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.zeroings.size(), 1U);
    EXPECT_FALSE(events.zeroings[0].gap_known);
}

TEST(Zeroings, AreNotSeenInAFastPush) {
    auto samples = readings("0:0,2:0,6:20,8:20,12:0,14:0");  // 5 ft/s, 1.5 m/s
    EXPECT_TRUE(events_of(samples).zeroings.empty());
}

TEST(PullBacks, TellWhereTheHeadWasDrawnBackTo) {
    auto samples = readings("0:0,10:10,14:6,16:6,24:14,26:14");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.pull_backs.size(), 1U);
    EXPECT_DOUBLE_EQ(events.pull_backs[0].from_counter, 10.0);
    EXPECT_DOUBLE_EQ(events.pull_backs[0].to_counter, 6.0);
    EXPECT_NEAR(events.pull_backs[0].from_s, 10.0, 0.15);
    EXPECT_NEAR(events.pull_backs[0].to_s, 14.0, 0.15);
}

TEST(PullBacks, OfLessThanTenTicksAreHesitations) {
    auto samples = readings("0:0,10:10,11:9.2,20:14");
    EXPECT_TRUE(events_of(samples).pull_backs.empty());
}

TEST(PullBacks, CountWhenTheHeadIsTakenOutAtTheEnd) {
    auto samples = readings("0:0,10:10,20:0");
    const CounterEvents events = events_of(samples);
    ASSERT_EQ(events.pull_backs.size(), 1U);
    EXPECT_DOUBLE_EQ(events.pull_backs[0].to_counter, 0.0);
}

TEST(CounterEvents, OfNothingReadAreNone) {
    auto samples = readings("0:-,5:-");
    const CounterEvents events = events_of(samples);
    EXPECT_TRUE(events.holds.empty());
    EXPECT_EQ(samples[3].state, CounterState::missing);
    std::vector<CounterSample> none;
    EXPECT_TRUE(events_of(none).holds.empty());
}

}  // namespace
}  // namespace sondeline
