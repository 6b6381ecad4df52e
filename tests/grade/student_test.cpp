#include "grade/student.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "grade/normal.hpp"

namespace sondeline::grade {
namespace {

// Tables of Student's t, as printed in any textbook (from memory).
TEST(StudentQuantile, AgreesWithThePrintedTables) {
    struct Entry {
        double p = 0.0;
        double freedom = 0.0;
        double t = 0.0;
    };
    for (const Entry& entry :
         {Entry{0.95, 8, 1.860}, Entry{0.975, 10, 2.228}, Entry{0.99, 12, 2.681},
          Entry{0.995, 10, 3.169}, Entry{0.995, 30, 2.750}, Entry{0.9995, 20, 3.850},
          Entry{0.9995, 60, 3.460}}) {
        EXPECT_NEAR(student_quantile(entry.p, entry.freedom), entry.t, 0.005 * entry.t)
            << entry.p << " with " << entry.freedom;
    }
}

TEST(StudentQuantile, IsTheNormalOneWhereTheScatterIsKnown) {
    const double z = normal_quantile(0.999);
    EXPECT_DOUBLE_EQ(student_quantile(0.999, std::numeric_limits<double>::infinity()), z);
    EXPECT_NEAR(student_quantile(0.999, 1e12), z, 1e-6);
    EXPECT_NEAR(student_quantile(0.001, 1e12), -z, 1e-6);
}

// Drawn: two scatters of twelve squares each, and the effect's own error.
TEST(StudentPower, IsTheShareOfDrawnTestsThatExceedTheThreshold) {
    Draws draws("student power");
    constexpr int kFreedom = 12;
    const auto scatter = [&] {
        double squares = 0.0;
        for (int i = 0; i < kFreedom; ++i) squares += std::pow(draws.normal(), 2);
        return std::sqrt(squares / kFreedom);
    };
    constexpr double kThreshold = 3.5;
    for (const double effect : {2.0, 3.5, 5.0, 6.5}) {
        constexpr int kTests = 20000;
        int exceed = 0;
        for (int i = 0; i < kTests; ++i) {
            const double stated = effect * scatter();
            if (stated + draws.normal() > kThreshold * scatter()) ++exceed;
        }
        EXPECT_NEAR(student_power(effect, {kThreshold, kFreedom}),
                    static_cast<double>(exceed) / kTests, 0.02)
            << effect;
    }
}

}  // namespace
}  // namespace sondeline::grade
