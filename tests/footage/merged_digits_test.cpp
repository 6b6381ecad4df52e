#include "footage/merged_digits.hpp"

#include <algorithm>
#include <random>
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

// Moved by two to five ticks from sample to sample; what ends in `from` is read two less.
std::vector<LineSample> pushed_fast(int count, const std::vector<int>& from) {
    std::vector<LineSample> samples;
    std::mt19937 chance(11);
    std::int64_t tick = 0;
    for (int i = 0; i < count; ++i) {
        const bool is_misread = std::ranges::find(from, tick % 10) != from.end();
        samples.push_back({is_misread ? tick - 2 : tick, 0.99F, Unread::no});
        tick += 2 + chance() % 4;
    }
    return samples;
}

TEST(MissingLastDigits, AreFoundHoweverFastTheHeadIsPushed) {
    const std::bitset<10> missing = missing_last_digits(pushed_fast(120, {8, 9})).missing;
    EXPECT_TRUE(missing.test(8));
    EXPECT_TRUE(missing.test(9));
    EXPECT_EQ(missing.count(), 2U);
    EXPECT_TRUE(merged_digits(pushed_fast(120, {8, 9})).none()) << "it was never passed slowly";
}

TEST(MissingLastDigits, AreNoneWhenAllTenComeOrTooFewAreReadToTell) {
    EXPECT_TRUE(missing_last_digits(pushed_fast(120, {})).missing.none());
    EXPECT_TRUE(missing_last_digits(pushed_fast(30, {8, 9})).missing.none());
}

// A display in an outline, whose 6 to 9 are read as 5 to 3: the number seems to turn back.
TEST(MissingLastDigits, AreFoundWhereFourInARowAreGoneByTimeAndAgain) {
    const auto shown = [](std::int64_t tick) {
        const std::int64_t last = tick % 10;
        return last < 6 ? tick : tick - last + std::max<std::int64_t>(3, 11 - last);
    };
    std::vector<LineSample> samples;
    for (std::int64_t tick = 0; tick < 60; ++tick) {
        for (int i = 0; i < 3; ++i) samples.push_back({shown(tick), 0.99F, Unread::no});
    }
    EXPECT_EQ(missing_last_digits(samples).missing, std::bitset<10>("1111000000"));
}

TEST(MissingLastDigits, AreNotClaimedOfAHeadThatStaysWithinFewTicks) {
    std::vector<LineSample> samples;
    for (int move = 0; move < 120; ++move) {
        const int tick = move / 6 % 2 == 0 ? move % 6 : 5 - move % 6;
        for (int i = 0; i < 3; ++i) samples.push_back({120 + tick, 0.99F, Unread::no});
    }
    EXPECT_TRUE(missing_last_digits(samples).missing.none());
}

// At 2.02 ticks from sample to sample odd digits come late and rarely.
TEST(MissingLastDigits, AreNotClaimedOfAHeadDrivenAtOneSpeed) {
    for (const double speed : {10.0 / 9.0, 1.25, 2.02, 2.1, 3.3, 4.9, 5.05}) {
        for (const int count : {60, 90, 150}) {
            std::vector<LineSample> samples;
            samples.reserve(static_cast<std::size_t>(count));
            for (int i = 0; i < count; ++i) {
                samples.push_back({static_cast<std::int64_t>(i * speed), 0.99F, Unread::no});
            }
            EXPECT_TRUE(missing_last_digits(samples).missing.none()) << speed << ", " << count;
        }
    }
}

// A tick from sample to sample, for long by the same step, now and then faster. A 6 is not clear
// enough to be read, and a 9 is read as an 8 for sure.
std::vector<LineSample> pushed_by_ones(int count, bool misread) {
    std::vector<LineSample> samples;
    std::int64_t tick = 0;
    for (int i = 0; i < count; ++i) {
        LineSample sample{tick, 0.99F, Unread::no};
        if (misread && tick % 10 == 6) sample = {0, 0.0F, Unread::unsure};
        if (misread && tick % 10 == 9) sample.ticks = tick - 1;
        samples.push_back(sample);
        tick += i % 7 == 0 ? 2 : 1;
    }
    return samples;
}

TEST(MissingLastDigits, AreFoundWhereOneStepIsTakenOverAndOverAndTheyTakeTheirTime) {
    const std::bitset<10> missing = missing_last_digits(pushed_by_ones(120, true)).missing;
    EXPECT_TRUE(missing.test(6));
    EXPECT_TRUE(missing.test(9));
    EXPECT_EQ(missing.count(), 2U);
    EXPECT_TRUE(missing_last_digits(pushed_by_ones(120, false)).missing.none());
}

TEST(MissingLastDigits, AreReadAsThatWhichComesTwiceAsOftenAsTheOthers) {
    const MissingDigits fast = missing_last_digits(pushed_fast(240, {8, 9}));
    EXPECT_EQ(fast.stand_ins, std::bitset<10>("0011000000")) << "6 and 7";
    EXPECT_FALSE(fast.mostly_unread);
    const MissingDigits slow = missing_last_digits(pushed_by_ones(120, true));
    EXPECT_EQ(slow.stand_ins, std::bitset<10>("0100000000")) << "8";
    EXPECT_TRUE(missing_last_digits(pushed_by_ones(120, false)).stand_ins.none());
}

// Some face's 5 and 6 are never clear enough: nothing is read for them.
TEST(MissingLastDigits, AreOnlyUnreadWhereNothingIsReadWhileTheyPass) {
    std::vector<LineSample> samples;
    for (std::int64_t tick = 0; tick < 120; ++tick) {
        const bool is_clear = tick % 10 != 5 && tick % 10 != 6;
        for (int i = 0; i < 2; ++i) {
            samples.push_back(is_clear ? LineSample{tick, 0.99F, Unread::no}
                                       : LineSample{0, 0.0F, Unread::unsure});
        }
    }
    const MissingDigits digits = missing_last_digits(samples);
    EXPECT_EQ(digits.missing.count(), 2U);
    EXPECT_TRUE(digits.stand_ins.none());
    EXPECT_TRUE(digits.mostly_unread);
}

// Tenths, and a letter of the unit read as hundredths.
TEST(LastDigitStays, WhereALetterIsReadAsTheLastPlace) {
    std::vector<LineSample> with_letter;
    std::vector<LineSample> tenths;
    std::vector<LineSample> at_rest(300, LineSample{36, 0.99F, Unread::no});
    for (std::int64_t tick = 0; tick < 60; ++tick) {
        with_letter.push_back({10 * tick + 6, 0.99F, Unread::no});
        tenths.push_back({tick, 0.99F, Unread::no});
        if (tick < 10) at_rest.push_back({36 + tick, 0.99F, Unread::no});
    }
    EXPECT_TRUE(last_digit_stays(with_letter));
    EXPECT_FALSE(last_digit_stays(tenths));
    EXPECT_FALSE(last_digit_stays(at_rest));
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
