#include "grade/ponding.hpp"

#include <gtest/gtest.h>

namespace sondeline::grade {
namespace {

Eigen::VectorXd heights(std::initializer_list<double> values) {
    Eigen::VectorXd z(values.size());
    Eigen::Index i = 0;
    for (const double value : values) z(i++) = value;
    return z;
}

TEST(Ponding, FillsToTheHighestInvertDownstream) {
    const Eigen::VectorXd z = heights({1.0, 0.8, 0.7, 0.85, 0.6});
    const Eigen::VectorXd depth = ponded_depth_m(z, Downstream::at_end);
    EXPECT_TRUE(depth.isApprox(heights({0.0, 0.05, 0.15, 0.0, 0.0}), 1e-12));
}

TEST(Ponding, OfTheSamePipeDiffersWithTheDirectionOfFlow) {
    const Eigen::VectorXd z = heights({1.0, 0.8, 0.7, 0.85, 0.6});
    const Eigen::VectorXd back = ponded_depth_m(z, Downstream::at_start);
    EXPECT_NEAR(back(4), 0.4, 1e-12);
    const Eigen::VectorXd shut_in = ponded_depth_m(z, Downstream::either);
    EXPECT_TRUE(shut_in.isApprox(heights({0.0, 0.05, 0.15, 0.0, 0.0}), 1e-12));
}

TEST(Ponding, IsNoneOnAFall) {
    EXPECT_EQ(ponded_depth_m(heights({3.0, 2.0, 1.0}), Downstream::at_end).maxCoeff(), 0.0);
}

// D 100 mm, V-shaped, 3 m long, 25 mm deep: 1.88880 L (closed integral, recomputed by quadrature).
TEST(Ponding, VolumeOfAVShapedBellyAlongTheStations) {
    Eigen::VectorXd depth(31);
    for (int i = 0; i <= 30; ++i) depth(i) = 0.025 * (1.0 - std::abs(i - 15) / 15.0);
    EXPECT_NEAR(ponded_volume_l(depth, {0, 30}, {0.1}, 0.1), 1.88880, 5e-6);
}

// Mean flooded area over a belly as a share of the full bore, by greatest depth over diameter:
// exact integrals of the segment area, recomputed; the V at 0.5 is the hoof of Archimedes, 2/(3π).
TEST(Ponding, VolumeByShapeAgreesWithTheTableOfShares) {
    struct Share {
        double depth, flat, v_shaped, parabolic;
    };
    constexpr Share kShares[] = {{0.10, 0.0520, 0.0210, 0.0308}, {0.20, 0.1424, 0.0581, 0.0848},
                                 {0.25, 0.1955, 0.0802, 0.1169}, {0.30, 0.2523, 0.1041, 0.1513},
                                 {0.40, 0.3735, 0.1561, 0.2258}, {0.50, 0.5000, 0.2122, 0.3051},
                                 {0.75, 0.8045, 0.3601, 0.5073}, {1.00, 1.0000, 0.5000, 0.6791}};
    const Bore bore{0.1};
    const double full_l = 1000.0 * full_area_m2(bore) * 3.0;
    for (const Share& share : kShares) {
        const BellyWater water{3.0, share.depth * 0.1};
        EXPECT_NEAR(belly_volume_l(bore, water, BellyShape::flat) / full_l, share.flat, 6e-5);
        EXPECT_NEAR(belly_volume_l(bore, water, BellyShape::v_shaped) / full_l, share.v_shaped,
                    6e-5);
        EXPECT_NEAR(belly_volume_l(bore, water, BellyShape::parabolic) / full_l, share.parabolic,
                    6e-5);
    }
}

// 4 in schedule 40 (inside 4.026 in), V-shaped belly 10 ft long and 25 % deep: 0.530 gal.
TEST(Ponding, VolumeOfAFourInchBellyInGallons) {
    const double inside_m = 4.026 * 0.0254;
    const double litres =
        belly_volume_l({inside_m}, {3.048, 0.25 * inside_m}, BellyShape::v_shaped);
    EXPECT_NEAR(litres / 3.785411784, 0.530, 1e-3);
}

TEST(Ponding, OfADipIsItsDepthOnLevelPipeAndNoneOnSteepPipe) {
    EXPECT_NEAR(dip_ponding_m({0.05, 4.0, 0.0}), 0.05, 1e-6);
    EXPECT_LT(dip_ponding_m({0.05, 4.0, 0.01}), 0.05);
    EXPECT_GT(dip_ponding_m({0.05, 4.0, 0.01}), 0.02);
    // The steepest part of a cosine dip rises πA/w: 3.9 % here.
    EXPECT_EQ(dip_ponding_m({0.05, 4.0, 0.04}), 0.0);
    EXPECT_NEAR(dip_ponding_m({0.05, 4.0, -0.01}), dip_ponding_m({0.05, 4.0, 0.01}), 1e-12);
}

}  // namespace
}  // namespace sondeline::grade
