#include "alignment/structure_doubt.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs straight({0.0, 0.0}, {{0.0, 0.0}});

// A run, and a second model of it that moves what it shares with others by (0.4, 0).
struct TwoModels {
    RunData data = run_along(straight, {1.0, 4.0, 7.0}, 9.0, 0.05);
    Problem problem = lone_problem(data, 0.5);
    LoneRun lone{problem, straight_state(problem, 0.0)};
    std::vector<Candidate> pool{{lone.state, 10.0}, {lone.state, 10.0}};

    TwoModels() { pool[1].state.shared(0) += 0.4; }
};

// Half the way between two equally probable places; their variance about it is 0.2².
TEST(StructureDoubt, IsTheSpreadOfTheModelsAboutTheirMean) {
    TwoModels two;
    const EndDoubts doubts = end_doubts(two.lone, FixLoss::plain, two.pool, {});
    EXPECT_NEAR(doubts.start.shift_m.x(), 0.2, 1e-12);
    EXPECT_NEAR(doubts.start.shift_m.y(), 0.0, 1e-12);
    EXPECT_NEAR(doubts.start.more_m2(0, 0), 0.04, 1e-6);
    EXPECT_NEAR(doubts.start.more_m2(1, 1), 0.0, 1e-6);
    EXPECT_EQ(doubts.end.more_m2.norm(), 0.0);  // it ends at no structure
}

TEST(StructureDoubt, IsNoneWhereAModelIsAsGoodAsCertain) {
    TwoModels two;
    two.pool[1].score = 60.0;
    const EndDoubts doubts = end_doubts(two.lone, FixLoss::plain, two.pool, {});
    EXPECT_LT(doubts.start.shift_m.norm(), 1e-9);
    EXPECT_LT(doubts.start.more_m2.norm(), 1e-9);
}

// The rival has no bend in doubt and would have the structure surer than the chosen model does.
TEST(StructureDoubt, TakesNothingAwayWhereARivalIsSurer) {
    TwoModels two;
    two.lone.state = with_bend(two.lone.state, {0.5, 0.02}, 9.0);
    two.pool[0].state = two.lone.state;
    two.pool[1].state.shared(0) -= 0.4;
    const EndDoubts doubts = end_doubts(two.lone, FixLoss::plain, two.pool, {});
    const auto start_m2 = [&](const State& state) {
        const auto all = unknowns_covariance({two.problem, state}, FixLoss::plain);
        return Eigen::Matrix2d(all->bottomRightCorner(5, 5).topLeftCorner<2, 2>());
    };
    ASSERT_LT(start_m2(two.pool[1].state).trace(), start_m2(two.lone.state).trace() - 1e-4);
    EXPECT_GE(doubts.start.more_m2(0, 0), 0.0);
    EXPECT_GE(doubts.start.more_m2(1, 1), 0.0);
}

TEST(StructureDoubt, HoldsWhatMayHideInTheStretchThatEndsThere) {
    TwoModels two;
    two.data.to_node = 1;
    two.pool.pop_back();
    Spread spread;
    spread.blind_start_m2 = 0.3 * Eigen::Matrix2d::Identity();
    spread.blind_end_m2 = 0.7 * Eigen::Matrix2d::Identity();
    const EndDoubts doubts = end_doubts(two.lone, FixLoss::plain, two.pool, spread);
    EXPECT_NEAR(doubts.start.more_m2(1, 1), 0.3, 1e-12);
    EXPECT_NEAR(doubts.end.more_m2(0, 0), 0.7, 1e-12);
}

// Nobody saw the last 4 m: a bend there would move the box as well.
TEST(StructureDoubt, LeavesABoxNoSurerThanTheEndOfTheOnlyRunThatReachesIt) {
    made::SmallSite job;
    const int tank = job.structure("tank", StructureKind::tank, PlanPoint{0.0, 0.0});
    const int box = job.structure("box", StructureKind::junction, std::nullopt);
    job.run("E1", tank, box, 12.0);
    job.fixes_along(0, made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {2.0, 5.0, 8.0});
    const Lines lines = align_site(job.site);
    ASSERT_TRUE(lines.structures[1].plan);
    ASSERT_FALSE(lines.runs[0].points.empty());
    const double end_sd_m = error_ellipse(lines.runs[0].points.back().cov).long_sd_m;
    EXPECT_GT(end_sd_m, 0.5);
    EXPECT_GT(error_ellipse(lines.structures[1].plan->cov).long_sd_m, 0.99 * end_sd_m);
}

}  // namespace
}  // namespace sondeline::alignment
