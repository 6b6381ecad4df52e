#include "footage/water/water_odds.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace sondeline {
namespace {

// Twenty looks, 0.1 m apart, of a surface as water shows it.
template <class Share>
WaterRun run_with(const Share& share) {
    WaterRun run;
    for (int i = 0; i < 20; ++i) {
        PlacedLook one;
        one.x_m = 0.1 * i;
        one.share = share(one.x_m);
        one.state = WaterState::water;
        one.look.shores.emplace();
        one.look.shores->edge = 0.6;
        one.look.shores->weight = 4.0;
        one.look.shores->far_over_near = 0.6;
        one.look.flows.emplace_back();
        one.look.flows.back().vote = {{2.0, 2.0}, 6};
        run.deepest = std::max(run.deepest, one.share);
        run.looks.push_back(one);
    }
    run.shape = shape_of(run);
    return run;
}

double pool(double x_m) {
    return 0.2 * std::sin(CV_PI * (x_m + 0.1) / 2.1);
}

TEST(WaterShape, IsASagWhereTheMiddleIsDeepest) {
    EXPECT_EQ(shape_of(run_with(pool)), WaterShape::sag);
}

TEST(WaterShape, IsASlopeWhereOnlyOneShoreWasReached) {
    EXPECT_EQ(shape_of(run_with([](double x_m) { return 0.02 + 0.1 * x_m; })), WaterShape::slope);
}

TEST(WaterShape, IsEvenWhereAFilmMeanders) {
    EXPECT_EQ(shape_of(run_with([](double x_m) { return 0.08 + 0.01 * std::sin(9.0 * x_m); })),
              WaterShape::even);
}

TEST(WaterShape, OfEvenDepthIsNeverClaimed) {
    EXPECT_FALSE(may_stand(WaterShape::even));
    EXPECT_TRUE(may_stand(WaterShape::sag));
    EXPECT_TRUE(may_stand(WaterShape::slope));
}

// Roots and dirt make steps that get wider along the pipe as well; a sag has to be level.
TEST(StandingOdds, AreLessWhereOneShoreWasNotReached) {
    EXPECT_LT(standing_odds(run_with([](double x_m) { return 0.02 + 0.1 * x_m; })),
              standing_odds(run_with(pool)));
}

TEST(StandingOdds, AreGoodForWhatLooksLikeWaterInEveryWay) {
    EXPECT_GT(standing_odds(run_with(pool)), odds_to_claim);
}

// A stain is as much darker far ahead as near.
TEST(StandingOdds, FallForWhatIsAsDarkFarOff) {
    WaterRun run = run_with(pool);
    for (PlacedLook& one : run.looks) one.look.shores->far_over_near = 1.0;
    EXPECT_LT(standing_odds(run), odds_to_claim);
}

TEST(StandingOdds, FallForWhatPassesTheLensAsTheWallDoes) {
    WaterRun run = run_with(pool);
    for (PlacedLook& one : run.looks) one.look.flows.back().vote = {{-4.0, -4.0}, 6};
    EXPECT_LT(standing_odds(run), odds_to_claim);
}

TEST(StandingOdds, FallForShoresThatHardlyStandOutOfTheWall) {
    WaterRun run = run_with(pool);
    for (PlacedLook& one : run.looks) {
        one.look.shores->weight = 0.2;
        one.look.flows.clear();
        one.look.shores->far_over_near.reset();
    }
    EXPECT_LT(standing_odds(run), 0.0);
}

}  // namespace
}  // namespace sondeline
