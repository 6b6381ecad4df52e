#include <numbers>

#include <gmock/gmock.h>

#include "sondeline/terms.hpp"

namespace sondeline {
namespace {

using testing::DoubleNear;
using testing::Eq;
using testing::Optional;

constexpr double kDegree = std::numbers::pi / 180.0;

auto Degrees(double degrees) {
    return Optional(DoubleNear(degrees * kDegree, 1e-12));
}

TEST(Heading, ReadsDegreesClockwiseFromNorth) {
    EXPECT_THAT(parse_heading_rad("40"), Degrees(40.0));
    EXPECT_THAT(parse_heading_rad("40.5\u00b0"), Degrees(40.5));
    EXPECT_THAT(parse_heading_rad("40,5 deg", true), Degrees(40.5));
    EXPECT_THAT(parse_heading_rad("-90"), Degrees(270.0));
    EXPECT_THAT(parse_heading_rad("360"), Degrees(0.0));
}

TEST(Heading, ReadsPointsOfTheCompass) {
    EXPECT_THAT(parse_heading_rad("N"), Degrees(0.0));
    EXPECT_THAT(parse_heading_rad("SW"), Degrees(225.0));
    EXPECT_THAT(parse_heading_rad("north-east"), Degrees(45.0));
    EXPECT_THAT(parse_heading_rad("wnw"), Degrees(292.5));
}

TEST(Heading, ReadsQuadrantBearings) {
    EXPECT_THAT(parse_heading_rad("N45E"), Degrees(45.0));
    EXPECT_THAT(parse_heading_rad("S 12.5 W"), Degrees(192.5));
    EXPECT_THAT(parse_heading_rad("n 30 w"), Degrees(330.0));
}

// Open-access surveying text, closed traverse (perimeter 2388.31 ft): azimuth 226 54 23 is the
// bearing S 46 54 23 W, 79 35 02 is N 79 35 02 E. Conversion between the two is exact.
TEST(Heading, AgreesWithATraverseGivenInDegreesMinutesSeconds) {
    EXPECT_THAT(parse_heading_rad("S 46\u00b054'23\" W"),
                Degrees(226.0 + 54.0 / 60.0 + 23.0 / 3600.0));
    EXPECT_THAT(parse_heading_rad("226\u00b0 54' 23\""),
                Degrees(226.0 + 54.0 / 60.0 + 23.0 / 3600.0));
    EXPECT_THAT(parse_heading_rad("N 79\u00b0 35' 02\" E"),
                Degrees(79.0 + 35.0 / 60.0 + 2.0 / 3600.0));
}

TEST(Heading, RefusesWhatIsNoDirection) {
    for (const char* text : {"", "361", "-400", "N95E", "E45N", "N45", "north-ish", "NS", "nan",
                             "40 50", "40 m", "45\u00b070'", "NNNN"}) {
        EXPECT_THAT(parse_heading_rad(text), Eq(std::nullopt)) << text;
    }
}

TEST(Heading, IsTheSameLineBothWaysWhenAxial) {
    EXPECT_NEAR(axial(40.0 * kDegree).rad, axial(220.0 * kDegree).rad, 1e-12);
    EXPECT_NEAR(axial(-140.0 * kDegree).rad, 40.0 * kDegree, 1e-12);
    EXPECT_EQ(axial(std::numbers::pi).rad, 0.0);
}

TEST(Heading, NeverReachesAFullTurn) {
    EXPECT_NEAR(directed(-90.0 * kDegree).rad, 270.0 * kDegree, 1e-12);
    EXPECT_LT(directed(-1e-20).rad, 2.0 * std::numbers::pi);
    EXPECT_LT(axial(-1e-20).rad, std::numbers::pi);
    EXPECT_EQ(directed(2.0 * std::numbers::pi).rad, 0.0);
}

}  // namespace
}  // namespace sondeline
