#include "footage/unit_change.hpp"

#include <gmock/gmock.h>

namespace sondeline {
namespace {

Track counted(double before, double after, int decimals = 1) {
    Track track;
    track.clip.name = "run.mp4";
    track.format = CounterFormat{};
    track.format->unit = CounterUnit::foot;
    track.format->decimals = decimals;
    for (int i = 0; i < 40; ++i) {
        CounterSample sample;
        sample.time_s = 0.1 * i;
        sample.counter = i < 20 ? before : after;
        sample.probability = 0.99;
        sample.state = i == 20 ? CounterState::zero : CounterState::hold;
        track.samples.push_back(sample);
    }
    track.zeroings = {{2.0, before, after, true}};
    return track;
}

// 0.3048 m to the foot exactly: NIST SP 811 (2008), appendix B.8.
TEST(UnitChange, IsSeenWhereFeetGoOnAsMetres) {
    EXPECT_TRUE(unit_change(counted(82.3, 25.1)).has_value());
    EXPECT_TRUE(unit_change(counted(25.1, 82.3)).has_value());
    EXPECT_TRUE(unit_change(counted(124.65, 37.99, 2)).has_value());
}

TEST(UnitChange, IsNoneWhereTheCounterWasSetToAnotherPlace) {
    EXPECT_FALSE(unit_change(counted(82.3, 0.0)).has_value());
    EXPECT_FALSE(unit_change(counted(82.3, 25.5)).has_value());
    EXPECT_FALSE(unit_change(counted(0.6, 0.2)).has_value()) << "too coarse to tell";
}

TEST(UnitChange, WithholdsWhatComesBehindItAndSaysSo) {
    Track track = counted(82.3, 25.1);
    withhold_after_unit_change(track);
    EXPECT_TRUE(track.samples[19].counter.has_value());
    EXPECT_FALSE(track.samples[20].counter.has_value());
    EXPECT_FALSE(track.samples.back().counter.has_value());
    EXPECT_THAT(track.samples.back().reason, testing::HasSubstr("unit"));
    ASSERT_EQ(track.findings.size(), 1U);
    EXPECT_EQ(track.findings[0].severity, Severity::problem);
    EXPECT_EQ(track.findings[0].where.time_s, 2.0);
}

}  // namespace
}  // namespace sondeline
