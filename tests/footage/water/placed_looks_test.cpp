#include "footage/water/placed_looks.hpp"

#include <cmath>
#include <numbers>
#include <span>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// A quarter of the diameter deep: the shores are seen 60 degrees off straight down from the axis
// (the definition of cosine). Seen about a point that lies too high or too low in the picture they
// seem to lie nearer to each other or further apart (plane geometry).
TEST(PlacedLooks, SetTheShoresRightWhereTheVanishingPointIsOff) {
    constexpr double kTrue_rad = std::numbers::pi / 3;
    for (const double off : {-0.03, 0.0, 0.03}) {
        WaterLook look;
        look.pipe = true;
        look.shores.emplace();
        look.shores->half_rad = std::atan2(water_shore_radius * std::sin(kTrue_rad),
                                           water_shore_radius * std::cos(kTrue_rad) - off);
        const LensPlace lens{{0.5, 0.02}, off};
        const auto placed = place_looks(std::span(&look, 1), JoinedTrack{}, 1.0, lens);
        ASSERT_EQ(placed.size(), 1U);
        EXPECT_NEAR(placed.front().share, 0.25, 0.004) << off;
    }
}

}  // namespace
}  // namespace sondeline
