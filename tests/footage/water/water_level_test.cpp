#include "footage/water/water_level.hpp"

#include <numbers>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A chord at a distance of cos(half) radii from the centre spans `half` to either side: the
// definition of cosine. Half full: 90 degrees; a quarter of the diameter deep: cos 60 = 1/2.
TEST(WaterLevel, StandsWhereItsShoresAreSeenFromTheAxis) {
    EXPECT_NEAR(surface_below_axis(std::numbers::pi / 2, 0.0), 0.0, 1e-12);
    EXPECT_NEAR(surface_below_axis(std::numbers::pi / 3, 0.0), 0.5, 1e-12);
}

// A lens at the height of the surface sees both shores level beside it.
TEST(WaterLevel, IsSeenWiderFromALensThatRidesLow) {
    EXPECT_NEAR(surface_below_axis(std::numbers::pi / 2, 0.5), 0.5, 1e-12);
}

}  // namespace
}  // namespace sondeline
