#include "alignment/swing_ties.hpp"

#include <cmath>

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "alignment/placement.hpp"
#include "small_sites.hpp"

namespace sondeline::alignment {
namespace {

// Two circles as in Ghilani & Wolf, Elementary Surveying, distance–distance intersection (inputs
// from memory, the answer recomputed).
TEST(BothPlaces, MatchTheTextbookTwoCircleExample) {
    const auto places =
        both_places({{2851.28, 299.40}, {3898.72, 2870.15}, 2000.00, 1500.00, 0.01});
    ASSERT_TRUE(places);
    EXPECT_NEAR(places->right_m.x(), 4464.85, 0.02);
    EXPECT_NEAR(places->right_m.y(), 1481.09, 0.02);
    EXPECT_NEAR(places->left_m.x(), 2523.02, 0.02);
    EXPECT_NEAR(places->left_m.y(), 2272.28, 0.02);
}

// The 13-20-21 triangle: exact in whole numbers.
TEST(BothPlaces, MatchTheTriangleInWholeNumbers) {
    const auto places = both_places({{0.0, 0.0}, {21.0, 0.0}, 13.0, 20.0, 0.01});
    ASSERT_TRUE(places);
    EXPECT_NEAR(places->left_m.x(), 5.0, 1e-12);
    EXPECT_NEAR(places->left_m.y(), 12.0, 1e-12);
    EXPECT_NEAR(places->right_m.y(), -12.0, 1e-12);
}

// Rays crossing at γ = 75.750°: half axes σ/√(1 − |cos γ|) = 1.1518σ and σ/√(1 + |cos γ|) =
// 0.8958σ.
TEST(BothPlaces, SpreadAsTheAngleOfTheRaysSays) {
    const auto places = both_places({{0.0, 0.0}, {21.0, 0.0}, 13.0, 20.0, 0.01});
    ASSERT_TRUE(places);
    const Eigen::Matrix2d& c = places->left_covariance_m2;
    EXPECT_NEAR(long_axis_m(c), 0.011518, 1e-6);
    EXPECT_NEAR(std::sqrt(c.determinant()) / long_axis_m(c), 0.008958, 1e-6);
}

TEST(BothPlaces, AreNoneWhereTheTapesDoNotMeet) {
    EXPECT_FALSE(both_places({{0.0, 0.0}, {21.0, 0.0}, 5.0, 10.0, 0.01}));
    EXPECT_FALSE(both_places({{0.0, 0.0}, {21.0, 0.0}, 40.0, 10.0, 0.01}));
    EXPECT_FALSE(both_places({{0.0, 0.0}, {0.0, 0.0}, 5.0, 5.0, 0.01}));
}

made::SmallSite taped_box() {
    made::SmallSite job;
    job.structure("corner A", StructureKind::reference, PlanPoint{0.0, 0.0});
    job.structure("corner B", StructureKind::reference, PlanPoint{21.0, 0.0});
    const int box = job.structure("box", StructureKind::distribution_box, std::nullopt);
    job.site.ties = {{box, 0, {13.0, 0.02}, "tie to A"}, {box, 1, {20.0, 0.03}, "tie to B"}};
    return job;
}

TEST(SwingTies, TakeTheSideThatTheRunsTell) {
    made::SmallSite job = taped_box();
    const made::Legs legs({5.0, 12.0}, {{0.0, 0.5}});
    job.run("L1", 2, std::nullopt, 12.0);
    job.fixes_along(0, legs, {2.0, 5.0, 8.0, 11.0});
    const Lines lines = align_site(job.site);
    ASSERT_TRUE(lines.structures[2].plan);
    EXPECT_LT(made::apart_m(lines.structures[2].plan->at, {5.0, 12.0}), 0.1);
    EXPECT_FALSE(made::says(lines.findings, "two places"));
}

TEST(SwingTies, AreNotUsedWhenTheRunsDoNotTellTheSide) {
    made::SmallSite job = taped_box();
    job.run("L1", 2, std::nullopt, 12.0);
    job.fix(0, 6.0, std::nullopt);
    job.heading(0.5);
    const Lines lines = align_site(job.site);
    EXPECT_FALSE(lines.structures[2].plan);
    EXPECT_TRUE(made::says(lines.findings, "two places"));
}

}  // namespace
}  // namespace sondeline::alignment
