#include <cmath>

#include <gtest/gtest.h>

#include "survey/ties.hpp"

namespace sondeline {
namespace {

TapedDistance tape(double e, double n, double distance_m, double sd_m = 0.01) {
    return {{e, n}, {}, distance_m, sd_m};
}

// Ghilani and Wolf, Elementary Surveying, two-circle intersection example (from memory,
// recomputed).
TEST(TiePosition, GivesThePublishedIntersectionOfTwoCircles) {
    const std::vector<TapedDistance> tapes{tape(2851.28, 299.40, 2000.0),
                                           tape(3898.72, 2870.15, 1500.0)};
    const TiePosition right = position_from_ties(tapes, TieSide::right, std::nullopt);
    const TiePosition left = position_from_ties(tapes, TieSide::left, std::nullopt);
    ASSERT_EQ(right.outcome, TieOutcome::solved);
    ASSERT_EQ(left.outcome, TieOutcome::solved);
    EXPECT_NEAR(right.position.at.e_m, 4464.85, 0.01);
    EXPECT_NEAR(right.position.at.n_m, 1481.09, 0.01);
    EXPECT_NEAR(left.position.at.e_m, 2523.02, 0.01);
    EXPECT_NEAR(left.position.at.n_m, 2272.28, 0.01);
}

// Whole-number triangles 13-20-21: (5, 12) or (5, −12); the third tie keeps (5, 12).
TEST(TiePosition, LetsAThirdTieSettleTheSide) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13), tape(21, 0, 20), tape(0, 24, 13)};
    const TiePosition solved = position_from_ties(tapes, TieSide::unknown, std::nullopt);
    ASSERT_EQ(solved.outcome, TieOutcome::solved);
    EXPECT_NEAR(solved.position.at.e_m, 5.0, 1e-6);
    EXPECT_NEAR(solved.position.at.n_m, 12.0, 1e-6);
}

// Three ties 13.02, 19.97, 13.01 with equal weights: P and the unit-weight spread, computed in
// double precision for the same figures.
TEST(TiePosition, AdjustsThreeTiesByLeastSquares) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13.02, 1.0), tape(21, 0, 19.97, 1.0),
                                           tape(0, 24, 13.01, 1.0)};
    const TiePosition solved = position_from_ties(tapes, TieSide::unknown, std::nullopt);
    ASSERT_EQ(solved.outcome, TieOutcome::solved);
    EXPECT_NEAR(solved.position.at.e_m, 5.04061, 2e-5);
    EXPECT_NEAR(solved.position.at.n_m, 12.00519, 2e-5);
    EXPECT_NEAR(std::sqrt(solved.position.cov.ee), 1.0999, 2e-4);
    EXPECT_NEAR(std::sqrt(solved.position.cov.nn), 0.7422, 2e-4);
}

// Rays that cross at γ: axes σ/√(1−|cos γ|) and σ/√(1+|cos γ|); 1.1518 and 0.8958 for 13/20/21.
TEST(TiePosition, SpreadsAsTwoCrossingTapesDo) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13), tape(21, 0, 20)};
    const TiePosition solved = position_from_ties(tapes, TieSide::left, std::nullopt);
    const PlanCovariance& cov = solved.position.cov;
    const double mean = (cov.ee + cov.nn) / 2.0;
    const double spread = std::hypot((cov.ee - cov.nn) / 2.0, cov.en);
    EXPECT_NEAR(std::sqrt(mean + spread) / 0.01, 1.1518, 1e-3);
    EXPECT_NEAR(std::sqrt(mean - spread) / 0.01, 0.8958, 1e-3);
}

TEST(TiePosition, IsAmbiguousWithoutASide) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13), tape(21, 0, 20)};
    EXPECT_EQ(position_from_ties(tapes, TieSide::unknown, std::nullopt).outcome,
              TieOutcome::ambiguous);
    const PlanFix rough{{6.0, 10.0}, {1.0, 0.0, 1.0}};
    const TiePosition solved = position_from_ties(tapes, TieSide::unknown, rough);
    ASSERT_EQ(solved.outcome, TieOutcome::solved);
    EXPECT_NEAR(solved.position.at.n_m, 12.0, 1e-9);
}

TEST(TiePosition, IsNotForcedWhereTheCirclesDoNotMeet) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 5), tape(21, 0, 10)};
    const TiePosition solved = position_from_ties(tapes, TieSide::left, std::nullopt);
    EXPECT_EQ(solved.outcome, TieOutcome::do_not_meet);
    EXPECT_NEAR(solved.gap_m, 6.0, 1e-9);
}

TEST(TiePosition, RefusesTiesThatContradictEachOther) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13), tape(21, 0, 20), tape(0, 24, 13.4)};
    EXPECT_EQ(position_from_ties(tapes, TieSide::unknown, std::nullopt).outcome,
              TieOutcome::does_not_fit);
}

TEST(TiePosition, KeepsToTheSideWhenAllMarksStandOnOneLine) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 13), tape(21, 0, 20),
                                           tape(10, 0, std::hypot(5.0, 12.0))};
    EXPECT_EQ(position_from_ties(tapes, TieSide::unknown, std::nullopt).outcome,
              TieOutcome::ambiguous);
    const TiePosition right = position_from_ties(tapes, TieSide::right, std::nullopt);
    ASSERT_EQ(right.outcome, TieOutcome::solved);
    EXPECT_NEAR(right.position.at.n_m, -12.0, 1e-4);
}

TEST(TiePosition, IsLessSureNearTheBaseline) {
    const std::vector<TapedDistance> tapes{tape(0, 0, 10.0), tape(20, 0, 10.0005)};
    const TiePosition solved = position_from_ties(tapes, TieSide::left, std::nullopt);
    ASSERT_EQ(solved.outcome, TieOutcome::solved);
    EXPECT_GT(std::sqrt(solved.position.cov.nn), 0.05);
}

// 1 m of rise in 10 m of tape: √99 = 9.949874 m, five centimetres less (slope distance reduced by
// Pythagoras, Ghilani & Wolf, Elementary Surveying).
TEST(TiePosition, ReducesATapeHeldUpASlope) {
    const Estimate level = level_distance_m({10.0, 0.02}, {-1.0, 0.03});
    EXPECT_NEAR(level.value, 9.949874, 1e-6);
    EXPECT_NEAR(level.sd, std::hypot(10.0 / 9.949874 * 0.02, 0.03 / 9.949874), 1e-9);
}

TEST(TiePosition, LeavesATapeWhoseRiseCannotBeItsOwn) {
    EXPECT_DOUBLE_EQ(level_distance_m({3.0, 0.02}, {2.0, 0.03}).value, 3.0);
    EXPECT_DOUBLE_EQ(level_distance_m({3.0, 0.02}, {40.0, 0.03}).value, 3.0);
}

}  // namespace
}  // namespace sondeline
