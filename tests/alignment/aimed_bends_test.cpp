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

}  // namespace
}  // namespace sondeline::alignment
