#include "footage/passing/light_changes.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

std::vector<PlacedLight> pipe_of(double length_m, double changes_m, double beyond) {
    std::vector<PlacedLight> lights;
    for (int i = 0; 0.07 * i < length_m; ++i) {
        const double x_m = 0.07 * i;
        const double sway = 2.0 * std::sin(0.9 * i);
        lights.push_back({0.3 * i, x_m, (x_m < changes_m ? 90.0 : beyond) + sway});
    }
    return lights;
}

TEST(LightChanges, AreNotInAnEvenlyLitPipe) {
    EXPECT_TRUE(light_changes(pipe_of(12.0, 99.0, 0.0)).empty());
    EXPECT_TRUE(light_changes({}).empty());
}

TEST(LightChanges, AreWhereAnotherWallBegins) {
    const auto changes = light_changes(pipe_of(12.0, 5.0, 50.0));
    ASSERT_EQ(changes.size(), 1U);
    EXPECT_NEAR(changes[0].x_m, 5.0, 0.2);
    EXPECT_NEAR(changes[0].ratio, 58.0 / 98.0, 0.03);
}

TEST(LightChanges, AreNotABlinkOfTheLight) {
    auto lights = pipe_of(12.0, 99.0, 0.0);
    for (std::size_t i = 70; i < 74; ++i) lights[i].light = 30.0;
    EXPECT_TRUE(light_changes(lights).empty());
}

TEST(LightChanges, AreNotMadeByAHeadThatStandsInADarkPlace) {
    auto lights = pipe_of(12.0, 99.0, 0.0);
    const PlacedLight there = lights[80];
    for (int i = 0; i < 200; ++i) lights.push_back({there.time_s + 0.01 * i, there.x_m, 20.0});
    EXPECT_TRUE(light_changes(lights).empty());
}

}  // namespace
}  // namespace sondeline
