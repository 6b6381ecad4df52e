#include "footage/merged_digits.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// Pushed through `tens` tens, three samples a tick; every `from` is read as `to`.
std::vector<LineSample> pushed(int tens, int from, int to) {
    std::vector<LineSample> samples;
    for (int tick = 0; tick < 10 * tens; ++tick) {
        const int shown = tick % 10 == from ? tick - from + to : tick;
        for (int i = 0; i < 3; ++i) samples.push_back({shown, 0.99F, Unread::no});
    }
    return samples;
}

TEST(MergedDigits, AreFoundWhereOneNeverComesAndItsNeighbourComesTooOften) {
    const std::bitset<10> merged = merged_digits(pushed(6, 5, 6));
    EXPECT_TRUE(merged.test(6));
    EXPECT_EQ(merged.count(), 1U);
}

TEST(MergedDigits, AreNoneWhenAllTenComeEquallyOften) {
    EXPECT_TRUE(merged_digits(pushed(6, 5, 5)).none());
}

// Five ticks from one reading to the next: the last digits are 0 and 5 throughout.
TEST(MergedDigits, AreNotClaimedWhereTheHeadIsPushedFastAndEvenly) {
    std::vector<LineSample> samples;
    for (int tick = 0; tick < 400; tick += 5) {
        for (int i = 0; i < 2; ++i) samples.push_back({tick, 0.99F, Unread::no});
    }
    EXPECT_TRUE(merged_digits(samples).none());
}

TEST(MergedDigits, AreNotClaimedOnAShortPush) {
    EXPECT_TRUE(merged_digits(pushed(2, 5, 6)).none());
}

TEST(MergedDigits, AreLookedForInEveryPlaceOfAReading) {
    const CounterShape shape = fixed_cells(4, 1, Padding::zeros, SignPlace::none);
    std::bitset<10> six;
    six.set(6);
    EXPECT_TRUE(shows_any(shape, 1600, six));
    EXPECT_TRUE(shows_any(shape, 16, six));
    EXPECT_FALSE(shows_any(shape, 1234, six));
}

}  // namespace
}  // namespace sondeline
