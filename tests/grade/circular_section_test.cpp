#include "grade/circular_section.hpp"

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

// Hydraulic elements of a circular pipe flowing part full, as shares of the diameter: the table
// printed in ASCE Manual 60 and in Chow, Open-Channel Hydraulics (1959), from memory and
// recomputed. Rows 0.60 and 0.70 also stand in a channel geometry table that cites FHWA HDS-4.
struct Element {
    double depth, area, perimeter, radius, width;
};
constexpr Element kElements[] = {
    {0.05, 0.0147, 0.4510, 0.0326, 0.4359}, {0.10, 0.0409, 0.6435, 0.0635, 0.6000},
    {0.20, 0.1118, 0.9273, 0.1206, 0.8000}, {0.25, 0.1535, 1.0472, 0.1466, 0.8660},
    {0.30, 0.1982, 1.1593, 0.1709, 0.9165}, {0.40, 0.2934, 1.3694, 0.2142, 0.9798},
    {0.50, 0.3927, 1.5708, 0.2500, 1.0000}, {0.60, 0.4920, 1.7722, 0.2776, 0.9798},
    {0.70, 0.5872, 1.9823, 0.2962, 0.9165}, {0.75, 0.6319, 2.0944, 0.3017, 0.8660},
    {0.80, 0.6736, 2.2143, 0.3042, 0.8000}, {0.90, 0.7445, 2.4981, 0.2980, 0.6000},
    {0.95, 0.7707, 2.6906, 0.2865, 0.4359}, {1.00, 0.7854, 3.1416, 0.2500, 0.0000}};

TEST(WettedSection, AgreesWithTheTableOfHydraulicElements) {
    constexpr double kDiameter_m = 0.1;
    for (const Element& row : kElements) {
        const WettedSection s = wetted_section({kDiameter_m}, row.depth * kDiameter_m);
        EXPECT_NEAR(s.area_m2 / (kDiameter_m * kDiameter_m), row.area, 5.1e-5) << row.depth;
        EXPECT_NEAR(s.perimeter_m / kDiameter_m, row.perimeter, 5.1e-5) << row.depth;
        EXPECT_NEAR(s.hydraulic_radius_m / kDiameter_m, row.radius, 5.1e-5) << row.depth;
        EXPECT_NEAR(s.surface_width_m / kDiameter_m, row.width, 5.1e-5) << row.depth;
    }
}

// A published design sheet: D 203.2 mm, 70 % deep, and D 101.6 mm, half full.
TEST(WettedSection, AgreesWithAPublishedDesignSheet) {
    const WettedSection deep = wetted_section({0.2032}, 0.7 * 0.2032);
    EXPECT_NEAR(deep.area_m2, 0.0242, 5e-5);
    EXPECT_NEAR(deep.perimeter_m, 0.4028, 5e-5);
    EXPECT_NEAR(deep.hydraulic_radius_m, 0.060195, 5e-6);
    const WettedSection half = wetted_section({0.1016}, 0.0508);
    EXPECT_NEAR(half.area_m2, 0.0041, 5e-5);
    EXPECT_NEAR(half.perimeter_m, 0.1596, 5e-5);
    EXPECT_NEAR(half.hydraulic_radius_m, 0.0254, 5e-6);
}

// Areas of a circular segment (plane geometry, recomputed): 1 in of water in 4 in pipes, 25 mm in
// 100 mm.
TEST(WettedSection, GivesTheAreaOfACircularSegment) {
    constexpr double kSquareInch_m2 = 0.0254 * 0.0254;
    EXPECT_NEAR(wetted_section({4.026 * 0.0254}, 0.0254).area_m2 / kSquareInch_m2, 2.4661, 5e-5);
    EXPECT_NEAR(wetted_section({3.975 * 0.0254}, 0.0254).area_m2 / kSquareInch_m2, 2.4477, 5e-5);
    EXPECT_NEAR(wetted_section({0.1}, 0.025).area_m2 * 1e6, 1535.46, 0.005);
}

TEST(WettedSection, IsDryBelowTheInvertAndFullAboveTheCrown) {
    EXPECT_EQ(wetted_section({0.1}, -0.02).area_m2, 0.0);
    EXPECT_EQ(wetted_section({0.1}, 0.0).hydraulic_radius_m, 0.0);
    EXPECT_DOUBLE_EQ(wetted_section({0.1}, 0.3).area_m2, full_area_m2({0.1}));
}

// D 100 mm, 3 m, 25 mm of water throughout (segment area times length).
TEST(WaterVolume, OfEvenDepthIsAreaTimesLength) {
    EXPECT_NEAR(volume_l({0.1}, {3.0, 0.025, 0.025}), 4.606, 5e-4);
}

// D 100 mm, V-shaped belly 3 m long and 25 mm deep: 1.88880 L (closed integral of the segment area,
// recomputed by quadrature).
TEST(WaterVolume, OfAVShapedBellyIsExact) {
    const double half = volume_l({0.1}, {1.5, 0.0, 0.025});
    EXPECT_NEAR(2.0 * half, 1.88880, 5e-6);
    EXPECT_NEAR(volume_l({0.1}, {1.5, 0.025, 0.0}), half, 1e-12);
}

// The hoof of Archimedes: a wedge from the rim to half the depth of a cylinder holds 2/(3π) of it.
TEST(WaterVolume, OfAHalfFullWedgeIsTheClassicHoof) {
    const double full = 1000.0 * full_area_m2({0.1}) * 2.0;
    EXPECT_NEAR(volume_l({0.1}, {2.0, 0.0, 0.05}) / full, 2.0 / (3.0 * 3.14159265358979), 1e-12);
}

TEST(WaterVolume, FindsTheShoreWithinAPiece) {
    const double whole = volume_l({0.1}, {1.0, 0.0, 0.03});
    EXPECT_NEAR(volume_l({0.1}, {2.0, -0.03, 0.03}), whole, 1e-12);
}

TEST(WaterVolume, AboveTheCrownAddsOnlyWhatTheBoreHolds) {
    const double filling = volume_l({0.1}, {1.0, 0.0, 0.1});
    const double drowned = volume_l({0.1}, {1.0, 0.1, 0.2});
    EXPECT_NEAR(volume_l({0.1}, {2.0, 0.0, 0.2}), filling + drowned, 1e-12);
    EXPECT_NEAR(drowned, 1000.0 * full_area_m2({0.1}), 1e-9);
}

TEST(WaterVolume, JoinsSmoothlyWhereDepthsBecomeEqual) {
    const double even = volume_l({0.1}, {1.0, 0.04, 0.04});
    EXPECT_NEAR(volume_l({0.1}, {1.0, 0.04, 0.04 + 2e-6}), even, 1e-3 * even);
}

}  // namespace
}  // namespace sondeline::grade
