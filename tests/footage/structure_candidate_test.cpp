#include "footage/structure_candidate.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "footage/drawn_line.hpp"
#include "footage/first_digit.hpp"

namespace sondeline {
namespace {

// The number as it is drawn, `places` before the point and `decimals` behind it.
Candidate laid_over(const DrawnLine& drawn, int places, int decimals) {
    NumberGrid grid;
    grid.band = drawn.band;
    grid.first_px = drawn.first_px;
    grid.gap_px = drawn.band.pitch_px;
    grid.places = places;
    grid.decimals = decimals;
    const std::vector<const LineCrop*> crops = drawn.pointers();
    return tried(grid, drawn.line, crops, GlyphNet{});
}

std::vector<std::string> tenths(int first, std::string_view behind) {
    std::vector<std::string> texts;
    for (int i = 0; i < 60; ++i) {
        const int value = first + i / 2;
        texts.push_back(fmt::format("{:02}.{}{}", value / 10, value % 10, behind));
    }
    return texts;
}

// The mark looks like several digits: as a further cell it adds to the score and to no certainty.
TEST(Candidate, RanksLowerWithAFurtherCellThatLeavesItsValueOpen) {
    const DrawnLine drawn = drawn_line(tenths(120, "&"));
    const Candidate right = laid_over(drawn, 2, 1);
    const Candidate longer = laid_over(drawn, 2, 2);
    EXPECT_GT(longer.path.score, right.path.score);
    EXPECT_GT(right.rank, longer.rank + 1.0);
}

TEST(Candidate, RanksLowerWhenItIsNeverNearZeroAndItsFirstDigitNotKnownForItsOwn) {
    const Candidate begins_at_zero = laid_over(drawn_line(tenths(3, "")), 2, 1);
    const Candidate never_near = laid_over(drawn_line(tenths(385, "")), 2, 1);
    EXPECT_NEAR(begins_at_zero.path.score, never_near.path.score, 0.3);
    EXPECT_GT(begins_at_zero.rank, never_near.rank + 1.0);
}

TEST(HasFault, IsTrueOfAGridThatIsHardlyReadOrNotReadAsAReelsCounter) {
    const DrawnLine drawn = drawn_line(tenths(120, ""));
    EXPECT_FALSE(has_fault(laid_over(drawn, 2, 1)));
    EXPECT_TRUE(has_fault(laid_over(drawn, 2, 3)));  // the paper behind it is no digit
    EXPECT_TRUE(has_fault(laid_over(drawn, 2, 0)));  // leaves out one that counts on
}

TEST(WithoutFault, LetsANumberGrowToTheRightBehindASignThatWasTakenForADigit) {
    Candidate candidate;
    candidate.grid.places = 2;
    candidate.grid.decimals = 1;
    candidate.grid.band.pitch_px = 20.0;
    candidate.grid.first_px = 40.0;
    candidate.faults.first_digit = FirstDigit::foreign;
    const std::vector<NumberGrid> others = without_fault(candidate);
    ASSERT_EQ(others.size(), 2U);
    for (const NumberGrid& grid : others) {
        EXPECT_TRUE(grid.sign_before);
        EXPECT_EQ(grid.places, 1);
        EXPECT_EQ(grid.first_px, 60.0);
    }
    EXPECT_EQ(others[1].padding, Padding::left);
}

TEST(WithoutFault, LetsADigitBehindAGrowingNumberMakeItLonger) {
    Candidate candidate;
    candidate.grid.places = 2;
    candidate.grid.decimals = 1;
    candidate.grid.padding = Padding::left;
    candidate.faults.leaves_out_digit = true;
    const std::vector<NumberGrid> others = without_fault(candidate);
    ASSERT_EQ(others.size(), 1U);
    EXPECT_TRUE(others.front().bare_end);
    candidate.grid.bare_end = true;
    EXPECT_TRUE(without_fault(candidate).empty()) << "it was tried";
}

CounterPath sure_path(int below, int at_zero, int above) {
    CounterPath path;
    const auto add = [&path](std::int64_t ticks) {
        PathValue value;
        value.ticks = ticks;
        value.probability = 0.999F;
        path.values.push_back(value);
    };
    for (int i = 0; i < below; ++i) add(-20 - i);
    for (int i = 0; i < at_zero; ++i) add(0);
    for (int i = 0; i < above; ++i) add(20 + i);
    return path;
}

// "+3.1" taken for -3.1 is set to "+0.0", which is read as 0.
TEST(AlwaysNegative, AreValuesBelowZeroThoughTheCounterIsSetToZero) {
    EXPECT_TRUE(always_negative(sure_path(100, 0, 0)));
    EXPECT_TRUE(always_negative(sure_path(100, 4, 0)));
    EXPECT_FALSE(always_negative(sure_path(100, 4, 1)));
    EXPECT_FALSE(always_negative(sure_path(10, 100, 0))) << "a reel that gives way by a little";
    EXPECT_FALSE(always_negative(sure_path(0, 0, 0)));
}

}  // namespace
}  // namespace sondeline
