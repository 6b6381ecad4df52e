#include "alignment/linearise.hpp"

#include <gtest/gtest.h>

#include "lone_problems.hpp"

namespace sondeline::alignment {
namespace {

RunModel bent_model() {
    RunModel model = straight_run(12.0, 3.0, stiff_joint_sd_rad, 0.35);
    model.bends = {{.x_m = 4.0, .angle_rad = 0.5, .slip_m = 0.01}};
    return model;
}

const RunPlace place{.from_m = {0.1, -0.1},
                     .to_m = {4.0, 11.0},
                     .reel_scale = 0.004,
                     .plan_factor = 0.999,
                     .offset_m = Eigen::Vector2d(0.6, -0.3)};

// Two receivers: the second fix does not share the offset.
RunData observed_run() {
    RunData data = run_along(made::Legs({0.0, 0.0}, {{0.0, 0.3}, {4.2, 0.9}}),
                             {1.5, 3.0, 5.5, 9.0, 11.0}, 12.0, 0.1, 0.05);
    data.to_node = 1;
    data.receiver = 0;
    for (PositionDatum& datum : data.positions) datum.shares_offset = true;
    data.positions[1].shares_offset = false;
    data.headings = {{.fix = 0, .x_m = 5.0, .heading_rad = 0.8, .sd_rad = 0.1}};
    data.start_heading = StartHeading{0.25, 0.1};
    data.sticks = StickScale{0.01, 0.004};
    return data;
}

// All columns of a run as one vector.
struct Unknowns {
    RunModel model;
    RunPlace place;
};

Unknowns moved(const Unknowns& from, int column, double by, double x_end_m) {
    Unknowns to = from;
    const Columns columns = columns_of(from.model);
    if (column < columns.own()) {
        Eigen::VectorXd step = Eigen::VectorXd::Zero(columns.own());
        step(column) = by;
        apply_step(to.model, step, x_end_m);
    } else if (column < columns.to()) {
        to.place.from_m(column - columns.from()) += by;
    } else if (column < columns.reel_scale()) {
        to.place.to_m(column - columns.to()) += by;
    } else if (column == columns.reel_scale()) {
        to.place.reel_scale += by;
    } else {
        (*to.place.offset_m)(column - columns.offset()) += by;
    }
    return to;
}

TEST(Linearise, GivesTheSlopeOfTheCostByEveryUnknown) {
    const RunData data = observed_run();
    const Unknowns at{bent_model(), place};
    for (const FixLoss loss : {FixLoss::plain, FixLoss::mixture, FixLoss::cauchy}) {
        const Losses losses{.fixes = loss};
        const RunBlock block = linearise_run(data, at.model, at.place, losses);
        EXPECT_NEAR(block.cost, run_cost(data, at.model, at.place, losses), 1e-9);
        for (int c = 0; c < block.columns.all(); ++c) {
            const double h = 1e-6;
            const Unknowns up = moved(at, c, h, data.x_end_m);
            const Unknowns down = moved(at, c, -h, data.x_end_m);
            const double slope = (run_cost(data, up.model, up.place, losses) -
                                  run_cost(data, down.model, down.place, losses)) /
                                 (2.0 * h);
            EXPECT_NEAR(block.gradient(c), 0.5 * slope, 1e-4 * (1.0 + std::abs(slope))) << c;
        }
    }
}

TEST(Linearise, FeelsTheOffsetOnlyInFixesThatShareIt) {
    RunData data = observed_run();
    const Unknowns at{bent_model(), place};
    const int column = columns_of(at.model).offset();
    const double n =
        linearise_run(data, at.model, at.place, {.fixes = FixLoss::plain}).normal(column, column);
    EXPECT_NEAR(n, 4.0 / (0.1 * 0.1), 1e-9);
    for (PositionDatum& datum : data.positions) datum.shares_offset = false;
    EXPECT_EQ(linearise_run(data, at.model, at.place, {}).normal.row(column).norm(), 0.0);
    const RunPlace without{.from_m = place.from_m};
    EXPECT_EQ(linearise_run(data, at.model, without, {}).normal.rows(), column);
}

// Where no residual is left, least squares has no second part in its curvature: the cost bends by
// exactly twice the normal matrix.
TEST(Linearise, GivesHalfTheCurvatureOfTheCostWhereTheFitIsPerfect) {
    RunData data;
    data.x_end_m = 10.0;
    const RunModel model = straight_run(10.0, 3.0, stiff_joint_sd_rad, 0.4);
    const RunLine line(model, {});
    for (const double x : {2.0, 5.0, 9.0}) data.positions.push_back(fix_at(x, line.at(x), 0.1));
    const Losses plain{.fixes = FixLoss::plain};
    const RunBlock block = linearise_run(data, model, {}, plain);
    const Unknowns at{model, {}};
    const double h = 1e-4;
    const auto cost = [&](int a, double by_a, int b, double by_b) {
        const Unknowns to = moved(moved(at, a, by_a, 10.0), b, by_b, 10.0);
        return run_cost(data, to.model, to.place, plain);
    };
    for (int a = 0; a < block.columns.own(); ++a) {
        for (int b = 0; b < block.columns.own(); ++b) {
            const double curvature =
                (cost(a, h, b, h) - cost(a, h, b, -h) - cost(a, -h, b, h) + cost(a, -h, b, -h)) /
                (4.0 * h * h);
            // A heading that nothing holds has a spread of its own, which costs nothing.
            const bool free = a == Columns::heading0 && b == Columns::heading0;
            const double held = free ? 3.0 / (std::numbers::pi * std::numbers::pi) : 0.0;
            EXPECT_NEAR(0.5 * curvature, block.normal(a, b) - held,
                        1e-4 * (1.0 + std::abs(block.normal(a, b))))
                << a << ", " << b;
        }
    }
}

TEST(Linearise, JudgesAFixAsTheLossDoes) {
    RunData data = observed_run();
    data.receiver.reset();
    PositionDatum far = fix_at(2.0, {3.0, 3.0}, 0.1);
    const RunLine line(bent_model(), {});
    const FixState state = state_of(far, line);
    EXPECT_GT(state.s, 100.0);
    EXPECT_GT(state.outlier_probability, 0.999);
    const PositionDatum good = fix_at(2.0, line.at(2.0), 0.1);
    EXPECT_NEAR(state_of(good, line).s, 0.0, 1e-12);
    EXPECT_LT(state_of(good, line).outlier_probability, 1e-3);
}

}  // namespace
}  // namespace sondeline::alignment
