#include "intake/position_quality.hpp"

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// Table of the GGA quality field: NMEA 0183, from memory.
TEST(PositionQuality, TrustsNoPositionThatWasNotMeasured) {
    for (const int quality : {0, 6, 7, 8, 9, -1}) {
        EXPECT_FALSE(sd_of_solution_m(solution_of_gga(quality), 1.0)) << quality;
    }
    for (const int quality : {1, 2, 3, 4, 5}) {
        EXPECT_TRUE(sd_of_solution_m(solution_of_gga(quality), 1.0)) << quality;
    }
}

TEST(PositionQuality, GrowsWithTheDilution) {
    EXPECT_DOUBLE_EQ(*sd_of_solution_m(SolutionKind::alone, 3.0),
                     3.0 * *sd_of_solution_m(SolutionKind::alone, 1.0));
    EXPECT_EQ(sd_of_solution_m(SolutionKind::fixed, 0.0),
              sd_of_solution_m(SolutionKind::fixed, 0.5));
}

// Words of the fixType of the GPX 1.1 schema.
TEST(PositionQuality, KnowsTheWordsOfGpx) {
    EXPECT_EQ(solution_of_gpx("none"), SolutionKind::none);
    EXPECT_EQ(solution_of_gpx("3d"), SolutionKind::alone);
    EXPECT_EQ(solution_of_gpx("dgps"), SolutionKind::differential);
    EXPECT_FALSE(solution_of_gpx(""));
}

}  // namespace
}  // namespace sondeline
