#include "alignment/aimed_bends.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

const made::Legs turned({0.0, 0.0}, {{0.0, 0.0}, {8.0, 1.2}});

TEST(AimedBends, PassThroughTheFixThatWasRejected) {
    const RunData data = run_along(turned, {1.0, 4.0, 7.0, 10.0, 13.0}, 14.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const State straight = straight_state(problem, 0.0);
    const auto aimed = aimed_at_rejected(problem, straight, 6);
    ASSERT_FALSE(aimed.empty());
    for (const State& state : aimed) {
        const auto& bends = state.runs[0].bends;
        ASSERT_FALSE(bends.empty());
        EXPECT_GT(bends[0].x_m, 7.0);  // the last fix on the line
        const RunLine line(state.runs[0], place_of(problem, state, 0));
        const bool first = bends.front().x_m < 10.0;
        const double x = first ? 10.0 : 13.0;
        // The bend lies between fixes, not at the corner: the fix is met in direction.
        const Eigen::Vector2d from = line.at(bends.front().x_m);
        const Eigen::Vector2d to_line = (line.at(x) - from).normalized();
        const Eigen::Vector2d to_fix = (vector_of(turned.at(x)) - from).normalized();
        EXPECT_GT(to_line.dot(to_fix), 0.9999);
    }
}

TEST(AimedBends, AreNoneWhereEveryFixIsOnTheLine) {
    const RunData data =
        run_along(made::Legs({0.0, 0.0}, {{0.0, 0.0}}), {1.0, 4.0, 7.0}, 9.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    EXPECT_TRUE(aimed_at_rejected(problem, straight_state(problem, 0.0), 6).empty());
}

TEST(AimedBends, NeverAreMoreThanAllowed) {
    const RunData data = run_along(turned, {1.0, 4.0, 7.0, 10.0, 13.0}, 14.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const State straight = straight_state(problem, 0.0);
    for (std::size_t most = 0; most <= 3; ++most) {
        for (const State& state : aimed_at_rejected(problem, straight, most)) {
            EXPECT_LE(state.runs[0].bends.size(), most);
        }
    }
}

// A right angle 0.8 m from the structure in which the run starts, and fixes from 2 m on.
const made::Legs elbow_at_start({0.0, 0.0}, {{0.0, 90.0 * degree}, {0.8, 0.0}});

// The line along these fixes, straight on past the elbow.
State straight_past_the_start(const Problem& problem) {
    State straight = straight_state(problem, 0.0);
    straight.runs[0].port_m = {0.8, -0.8};
    return straight;
}

TEST(AimedBends, MeetTheStructureThatTheStartOvershoots) {
    const RunData data = run_along(elbow_at_start, {2.0, 5.0, 8.0, 11.0}, 12.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    const auto aimed = aimed_at_structures(problem, straight_past_the_start(problem), 6);
    ASSERT_EQ(aimed.size(), 1U);
    const BendUnknown& bend = aimed[0].runs[0].bends.at(0);
    EXPECT_NEAR(bend.x_m, 0.8, 1e-9);
    EXPECT_NEAR(bend.angle_rad, -90.0 * degree, 1e-9);
    const RunLine line(aimed[0].runs[0], place_of(problem, aimed[0], 0));
    for (const double x_m : {0.0, 0.5, 2.0, 11.0}) {
        EXPECT_LT((line.at(x_m) - vector_of(elbow_at_start.at(x_m))).norm(), 1e-9) << x_m;
    }
}

TEST(AimedBends, MeetTheStructureThatTheEndOvershoots) {
    const made::Legs elbow({-0.8, -9.2}, {{0.0, 0.0}, {9.2, 90.0 * degree}});
    RunData data = run_along(elbow, {2.0, 5.0, 8.0}, 10.0, 0.02);
    data.to_node = 1;  // known to lie at the origin
    const Problem problem = lone_problem(data, 0.02, {-0.8, -9.2});
    const auto aimed = aimed_at_structures(problem, straight_state(problem, 0.0), 6);
    ASSERT_EQ(aimed.size(), 1U);
    const RunLine line(aimed[0].runs[0], place_of(problem, aimed[0], 0));
    for (const double x_m : {0.0, 8.0, 9.5, 10.0}) {
        EXPECT_LT((line.at(x_m) - vector_of(elbow.at(x_m))).norm(), 1e-9) << x_m;
    }
}

TEST(AimedBends, AreNoneWhereTheLineMeetsTheStructureOrFallsShortOfIt) {
    RunData data = run_along(elbow_at_start, {2.0, 5.0, 8.0, 11.0}, 12.0, 0.02);
    const Problem problem = lone_problem(data, 0.02);
    State state = straight_past_the_start(problem);
    EXPECT_TRUE(aimed_at_structures(problem, state, 0).empty());  // no bend more is allowed
    state.runs[0].port_m = {0.8, 0.8};  // a bend only makes the way longer
    EXPECT_TRUE(aimed_at_structures(problem, state, 6).empty());
    data.port_sd_from_m = 1.2;
    EXPECT_TRUE(aimed_at_structures(problem, straight_past_the_start(problem), 6).empty());
}

}  // namespace
}  // namespace sondeline::alignment
