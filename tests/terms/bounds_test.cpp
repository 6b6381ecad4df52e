#include <gtest/gtest.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

TEST(Bounds, GiveNoMoreDecimalsThanTheyDeserve) {
    EXPECT_EQ(decimals_for_bounds(0.3), 1);
    EXPECT_EQ(decimals_for_bounds(0.1), 1);
    EXPECT_EQ(decimals_for_bounds(0.05), 2);
    EXPECT_EQ(decimals_for_bounds(2.0), 0);
    EXPECT_EQ(decimals_for_bounds(1e-9), 3);
    EXPECT_EQ(decimals_for_bounds(0.0), 3);
}

TEST(Bounds, AreShownWithTheLengthInTheJobsUnit) {
    // 0.3048 m is one international foot exactly (NIST SP 811).
    const Bounded length_m{100.0 * 0.3048, 99.7 * 0.3048, 100.3 * 0.3048};
    EXPECT_EQ(length_words(length_m, LengthUnit::foot), "100.0 ft (99.7 to 100.3)");
    EXPECT_EQ(length_words(30.48, LengthUnit::foot, 1), "100.0 ft");
}

// 10.52 and 13.49 lie within 10 and 14, not within 11 and 13.
TEST(Bounds, AreRoundedAwayFromTheFigure) {
    EXPECT_EQ(length_words(Bounded{12.0, 10.52, 13.49}, LengthUnit::metre), "12 m (10 to 14)");
    EXPECT_EQ(length_words(Bounded{12.0, 10.0, 14.0}, LengthUnit::metre), "12 m (10 to 14)");
}

TEST(Bounds, RoundTheValueAsTheyRoundItsWords) {
    EXPECT_DOUBLE_EQ(rounded_to_bounds(12.3456, 0.3), 12.3);
    EXPECT_DOUBLE_EQ(rounded_to_bounds(-0.04, 0.3), 0.0);
}

}  // namespace
}  // namespace sondeline
