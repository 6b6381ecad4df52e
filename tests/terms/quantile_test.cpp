#include "terms/quantile.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

TEST(Quantile, IsOneOfTheFiguresAndTheLowerMiddleOneOfAnEvenNumber) {
    EXPECT_EQ(quantile({5.0, 1.0, 3.0}, 0.5), 3.0);
    EXPECT_EQ(quantile({4.0, 1.0, 3.0, 2.0}, 0.5), 2.0);
    EXPECT_EQ(quantile({4.0, 1.0, 3.0, 2.0}, 0.0), 1.0);
    EXPECT_EQ(quantile({4.0, 1.0, 3.0, 2.0}, 1.0), 4.0);
}

TEST(UpperMedian, IsTheUpperMiddleOneOfAnEvenNumber) {
    EXPECT_EQ(upper_median({5.0, 1.0, 3.0}), 3.0);
    EXPECT_EQ(upper_median({4.0, 1.0, 3.0, 2.0}), 3.0);
    EXPECT_EQ(upper_median({7.0}), 7.0);
}

// Two figures lie 0 and 0.3 from the lower one: they do not agree exactly.
TEST(UpperMedian, OfTheDistancesOfTwoFiguresFromTheLowerIsNotZero) {
    const double middle = quantile({0.2, 0.5}, 0.5);
    EXPECT_DOUBLE_EQ(upper_median({0.2 - middle, 0.5 - middle}), 0.3);
}

}  // namespace
}  // namespace sondeline
