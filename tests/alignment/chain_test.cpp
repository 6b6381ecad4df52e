#include "alignment/chain.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs bent({0.0, 0.0}, {{0.0, 0.5}, {8.4, 0.5 + 60.0 * degree}});
const std::vector<double> every_two{1.0, 3.0, 5.0, 7.0, 9.0, 11.0, 13.0, 15.0};

TEST(Chain, GathersItsTurningIntoTheBendThatIsThere) {
    const RunData data = run_along(bent, every_two, 16.0, 0.02, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const auto chains = fitted_chains(problem, {problem.shared.mean, {}}, {.start = true});
    ASSERT_FALSE(chains.empty());
    const auto& bends = chains.front().bends.runs[0].bends;
    ASSERT_GE(bends.size(), 1U);
    double turned = 0.0;
    for (const BendUnknown& bend : bends) {
        if (std::abs(bend.x_m - 8.4) < 1.5) turned += bend.angle_rad;
    }
    EXPECT_NEAR(turned, 60.0 * degree, 8.0 * degree);
    for (std::size_t i = 1; i < chains.size(); ++i) EXPECT_GE(chains[i].cost, chains[i - 1].cost);
}

// Pipe on a circle of 20 m radius: the joints of the curve turn together by what the circle does.
TEST(Chain, KeepsTheTurnsOfACurveInItsJoints) {
    const double radius = 20.0;
    RunData data;
    data.x_end_m = 20.0;
    for (double x = 1.0; x < 20.0; x += 2.0) {
        const double angle = x / radius;
        data.positions.push_back(
            fix_at(x, radius * Eigen::Vector2d(1.0 - std::cos(angle), std::sin(angle)), 0.02));
    }
    const Problem problem = lone_problem(data, 0.02);
    const auto chains = fitted_chains(problem, {problem.shared.mean, {}}, {.start = true});
    ASSERT_FALSE(chains.empty());
    const RunModel& curve = chains.front().curve.runs[0];
    EXPECT_TRUE(curve.bends.empty());
    double turned = 0.0;
    for (const double joint : curve.joints_rad) turned += joint;
    EXPECT_NEAR(turned, 18.0 / radius, 0.2);
}

TEST(Chain, TriesTheBearingOfTheFirstFixFromAKnownStart) {
    const RunData data = run_along(bent, {4.0}, 16.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const auto starts = straight_starts(problem, {problem.shared.mean, {}}, {.start = true});
    ASSERT_FALSE(starts.empty());
    EXPECT_NEAR(starts[0].runs[0].heading0_rad, 0.5, 1e-9);
}

TEST(Chain, TriesBothWaysAlongAnAxialHeading) {
    RunData data;
    data.x_end_m = 10.0;
    data.headings = {{.fix = 0, .x_m = 5.0, .heading_rad = 0.7, .sd_rad = 0.1}};
    const Problem problem = lone_problem(data, 0.02);
    const auto starts = straight_starts(problem, {problem.shared.mean, {}}, {.start = true});
    ASSERT_GE(starts.size(), 2U);
    const double apart = starts[0].runs[0].heading0_rad - starts[1].runs[0].heading0_rad;
    EXPECT_NEAR(std::abs(std::remainder(apart, 2.0 * std::numbers::pi)), std::numbers::pi, 1e-9);
}

TEST(Chain, PutsAnUnknownStartBehindItsFirstFix) {
    const made::Legs legs({30.0, 40.0}, {{0.0, 0.5}});
    const RunData data = run_along(legs, {4.0, 8.0, 12.0}, 14.0, 0.02);
    const Problem problem = lone_problem(data, 10.0);
    const auto starts = straight_starts(problem, {problem.shared.mean, {}}, {});
    ASSERT_FALSE(starts.empty());
    EXPECT_LT((starts[0].shared.head<2>() - Eigen::Vector2d(30.0, 40.0)).norm(), 0.01);
}

// Seen positions less what the receiver is known to add.
TEST(Chain, TakesTheReceiversOffsetOffTheFixes) {
    RunData data = run_along(bent, {4.0}, 16.0, 0.02);
    data.receiver = 0;
    data.positions[0].shares_offset = true;
    data.positions[0].at_m += Eigen::Vector2d(2.0, -1.0);
    const Problem problem = lone_problem(data, 0.02);
    State guess{problem.shared.mean, {}};
    guess.shared.segment<2>(5) = Eigen::Vector2d(2.0, -1.0);
    const auto starts = straight_starts(problem, guess, {.start = true});
    EXPECT_NEAR(starts[0].runs[0].heading0_rad, 0.5, 1e-9);
}

}  // namespace
}  // namespace sondeline::alignment
