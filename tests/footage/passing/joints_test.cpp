#include "footage/passing/joints.hpp"

#include <gmock/gmock.h>

#include "footage/passing/lay_lengths.hpp"

namespace sondeline {
namespace {

constexpr double near_m = 0.05;
constexpr double place_sd_m = 0.02;

PlacedRing ring_at(double x_m, double time_s, float dark) {
    return {x_m, {time_s, 3.0, dark}};
}

std::vector<Joint> joints_at(const std::vector<double>& places_m) {
    std::vector<Joint> joints;
    joints.reserve(places_m.size());
    for (const double x_m : places_m) joints.push_back({x_m, 10.0 * x_m, 0.5F});
    return joints;
}

TEST(Joints, AreRingsThatSeveralPicturesShowAtOnePlace) {
    const auto joints = joints_of(
        {ring_at(3.01, 11.0, 0.12F), ring_at(2.99, 10.0, 0.15F), ring_at(5.00, 20.0, 0.06F)},
        near_m);
    ASSERT_EQ(joints.size(), 1U);
    EXPECT_NEAR(joints[0].x_m, 3.0, 0.005);
    EXPECT_EQ(joints[0].time_s, 10.0);
}

TEST(Joints, CountOnePictureOnceHoweverOftenItShowsARing) {
    EXPECT_TRUE(
        joints_of({ring_at(3.01, 10.0, 0.12F), ring_at(2.99, 10.0, 0.15F)}, near_m).empty());
}

TEST(Joints, MayBeTheOnlyMarkOfAWall) {
    EXPECT_EQ(joints_of({ring_at(3.01, 11.0, 0.12F), ring_at(2.99, 10.0, 0.15F)}, near_m).size(),
              1U);
}

TEST(Joints, AreNotTheRibsThatAreEverywhere) {
    std::vector<PlacedRing> ribs;
    ribs.reserve(101);
    for (int i = 0; i < 100; ++i) ribs.push_back(ring_at(0.12 * i, i, 0.3F));
    EXPECT_TRUE(joints_of(ribs, near_m).empty());
    ribs.push_back(ring_at(6.3, 200.0, 1.2F));
    EXPECT_EQ(joints_of(ribs, near_m).size(), 1U);
}

TEST(JointRow, IsToldFromSpacesThatAgree) {
    const auto row = joint_row_of(joints_at({1.00, 3.45, 5.87, 8.32, 10.75}), place_sd_m);
    ASSERT_TRUE(row);
    EXPECT_NEAR(row->spacing.value, 2.4375, 0.005);
    EXPECT_NEAR(row->spacing.sd, 0.01, 0.003);
    EXPECT_EQ(row->spaces, 4);
    EXPECT_EQ(row->from, 1.00);
    EXPECT_EQ(row->to, 10.75);
}

TEST(JointRow, IsToldThoughAJointWasNotSeen) {
    const auto row = joint_row_of(joints_at({1.0, 2.5, 4.0, 7.0, 8.5}), place_sd_m);
    ASSERT_TRUE(row);
    EXPECT_NEAR(row->spacing.value, 1.5, 0.01);
}

TEST(JointRow, IsToldThoughAFittingBreaksTheRow) {
    const auto row = joint_row_of(joints_at({1.0, 2.5, 3.3, 4.8, 6.3, 7.8}), place_sd_m);
    ASSERT_TRUE(row);
    EXPECT_NEAR(row->spacing.value, 1.5, 0.01);
}

TEST(JointRow, IsNotReadIntoSpacesOfAnyLength) {
    EXPECT_FALSE(joint_row_of(joints_at({1.0, 1.9, 4.3, 5.0, 8.1}), place_sd_m));
    EXPECT_FALSE(joint_row_of(joints_at({1.0, 2.5, 4.0}), place_sd_m));
    EXPECT_FALSE(joint_row_of({}, place_sd_m));
}

TEST(JointRow, IsNotReadIntoAFewSpacesThatAgreeAmongMany) {
    std::vector<double> places_m{0.0};
    for (const double space_m : {1.5, 0.9, 1.1, 0.7, 2.0, 1.5, 2.3, 0.8, 1.2, 2.6, 0.6, 1.5, 1.9}) {
        places_m.push_back(places_m.back() + space_m);
    }
    EXPECT_FALSE(joint_row_of(joints_at(places_m), place_sd_m));
}

TEST(UsualSticks, AreNamedOnlyWhereTheyAreNear) {
    EXPECT_THAT(usual_sticks_near(3.03, 0.045), testing::ElementsAre("3 m", "10 ft (3.05 m)"));
    EXPECT_THAT(usual_sticks_near(1.80, 0.045), testing::ElementsAre("6 ft (1.83 m)"));
    EXPECT_TRUE(usual_sticks_near(0.75, 0.045).empty());
}

}  // namespace
}  // namespace sondeline
