#include "support/counter_text.hpp"

#include <gtest/gtest.h>

namespace sondeline::support {
namespace {

std::string written(const CounterStyle& style, double value) {
    return counter_text(style, counter_ticks(style, value));
}

TEST(CounterText, PadsWithZerosOrBlanks) {
    CounterStyle zeros{.places = 4, .pad = '0', .suffix = " ft"};
    EXPECT_EQ(written(zeros, 12.4), "0012.4 ft");
    EXPECT_EQ(written(zeros, -0.3), "-0000.3 ft");
    CounterStyle blanks{.places = 4, .pad = ' ', .plus_sign = true, .suffix = ""};
    EXPECT_EQ(written(blanks, 12.4), "  +12.4");
    EXPECT_EQ(written(blanks, -7.0), "   -7.0");
}

TEST(CounterText, RoundsToTheLastPlaceAndCarries) {
    const CounterStyle tenths{.suffix = "'"};
    EXPECT_EQ(written(tenths, 9.949), "9.9'");
    EXPECT_EQ(written(tenths, 9.951), "10.0'");
    const CounterStyle metres{
        .scale = CounterScale::metres, .decimals = 2, .places = 3, .comma = true, .suffix = " m"};
    EXPECT_EQ(written(metres, 3.7549), "003,75 m");
}

TEST(CounterText, CarriesInchesIntoFeet) {
    const CounterStyle inches{.scale = CounterScale::feet_and_inches, .suffix = ""};
    EXPECT_EQ(written(inches, 12.5), "12'  6\"");
    EXPECT_EQ(written(inches, 12.97), "13'  0\"");
    EXPECT_EQ(counter_number(inches, counter_ticks(inches, 12.5)), "12.5000");
}

TEST(CounterText, LeavesThePointOutWhenItIsImplied) {
    const CounterStyle implied{.places = 3, .implied_point = true, .suffix = ""};
    EXPECT_EQ(written(implied, 12.4), "0124");
    EXPECT_EQ(counter_number(implied, counter_ticks(implied, 12.4)), "12.4");
}

TEST(ClockText, WrapsAtMidnight) {
    EXPECT_EQ(clock_text(36065.9), "10:01:05");
    EXPECT_EQ(clock_text(86400.0 + 5.0), "00:00:05");
}

}  // namespace
}  // namespace sondeline::support
