#include "grade/phrases.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

using testing::HasSubstr;

// Slopes as they are written on plans, in percent, 1 in N, and inches of fall in 100 ft
// (arithmetic: 12 in to the foot).
TEST(SlopeWords, GiveTheSameSlopeInEveryWayOfWritingIt) {
    struct Written {
        double inches_per_foot;
        const char* words;
    };
    constexpr Written kWritten[] = {{1.0 / 4, "2.08 % (1 in 48; 25 in per 100 ft)"},
                                    {1.0 / 8, "1.04 % (1 in 96; 12.5 in per 100 ft)"},
                                    {1.0 / 16, "0.52 % (1 in 192; 6.25 in per 100 ft)"},
                                    {1.0 / 2, "4.17 % (1 in 24; 50 in per 100 ft)"},
                                    {0.06, "0.50 % (1 in 200; 6 in per 100 ft)"},
                                    {0.04, "0.33 % (1 in 300; 4 in per 100 ft)"},
                                    {0.03, "0.25 % (1 in 400; 3 in per 100 ft)"},
                                    {0.02, "0.17 % (1 in 600; 2 in per 100 ft)"},
                                    {0.025, "0.21 % (1 in 480; 2.5 in per 100 ft)"}};
    for (const Written& slope : kWritten) {
        EXPECT_EQ(slope_words(slope.inches_per_foot / 12.0), slope.words);
    }
}

TEST(SlopeWords, KeepTheSignOfARise) {
    EXPECT_EQ(slope_words(-0.0125), "-1.25 % (-15 in per 100 ft)");
    EXPECT_EQ(slope_words(0.0), "0.00 % (0 in per 100 ft)");
}

TEST(FigureWords, GiveMetricFirst) {
    EXPECT_EQ(height_words(0.1905, LengthUnit::metre), "19 cm (7.5 in)");
    EXPECT_EQ(height_words(0.1905, LengthUnit::foot), "7.5 in (19 cm)");
    EXPECT_EQ(height_words(0.0254, LengthUnit::metre), "2.5 cm (1.0 in)");
    EXPECT_EQ(station_words(3.048, LengthUnit::metre), "3.0 m (10.0 ft)");
    EXPECT_EQ(station_words(3.048, LengthUnit::us_survey_foot), "10.0 ft (3.0 m)");
    EXPECT_EQ(volume_words(3.785411784, LengthUnit::metre), "3.8 L (1.0 gal)");
    EXPECT_EQ(volume_words(3.785411784, LengthUnit::foot), "1.0 gal (3.8 L)");
}

// 1 US gal = 3.785411784 L exactly (NIST SP 811): 3.6 L is 0.95 gal, 0.91 to 9.98 L 0.24 to 2.64.
TEST(FigureWords, GiveAVolumeWithItsBounds) {
    EXPECT_EQ(volume_words(Bounded{3.6, 0.91, 9.98}, LengthUnit::foot),
              "1 gal (0.2 to 2.7), or 4 L (0.9 to 10.0)");
    EXPECT_EQ(volume_words(Bounded{3.6, 0.91, 9.98}, LengthUnit::metre),
              "4 L (0.9 to 10.0), or 1 gal (0.2 to 2.7)");
}

}  // namespace
}  // namespace sondeline::grade
