#include "alignment/run_line.hpp"

#include <functional>

#include <gtest/gtest.h>

#include "traverse.hpp"

namespace sondeline::alignment {
namespace {

RunModel bent_run() {
    RunModel model = straight_run(14.0, 3.0, stiff_joint_sd_rad, 0.4);
    model.port_m = {0.1, -0.2};
    model.own_scale = 0.01;
    for (std::size_t j = 0; j < model.joints_rad.size(); ++j) {
        model.joints_rad[j] = 0.02 * (static_cast<double>(j) - 1.3);
    }
    model.bends = {{.x_m = 4.2, .angle_rad = 0.8, .slip_m = 0.03},
                   {.x_m = 8.1, .angle_rad = -1.2, .slip_m = -0.05}};
    return model;
}

const RunPlace bent_place{
    .from_m = {10.0, 20.0}, .to_m = {}, .reel_scale = -0.02, .plan_factor = 0.9997};

RunPlace with_shared(const RunPlace& place, const Eigen::VectorXd& step, const Columns& columns) {
    RunPlace out = place;
    out.from_m += step.segment<2>(columns.from());
    out.reel_scale += step(columns.reel_scale());
    return out;
}

// Central differences of a function of the line, column by column.
Eigen::VectorXd numeric(const std::function<double(const RunLine&)>& value) {
    const RunModel model = bent_run();
    const Columns columns = columns_of(model);
    Eigen::VectorXd out(columns.all());
    const double h = 1e-6;
    for (int i = 0; i < columns.all(); ++i) {
        double side[2];
        for (const int sign : {0, 1}) {
            Eigen::VectorXd step = Eigen::VectorXd::Zero(columns.all());
            step(i) = sign == 0 ? -h : h;
            RunModel moved = model;
            apply_step(moved, step.head(columns.own()), 14.0);
            side[sign] = value(RunLine(moved, with_shared(bent_place, step, columns)));
        }
        out(i) = (side[1] - side[0]) / (2.0 * h);
    }
    return out;
}

TEST(RunLine, RunsStraightAlongItsHeading) {
    RunModel model = straight_run(10.0, 3.0, stiff_joint_sd_rad, 30.0 * degree);
    const RunLine line(model, {.from_m = {1.0, 2.0}});
    EXPECT_NEAR(line.at(10.0).x(), 1.0 + 10.0 * 0.5, 1e-12);
    EXPECT_NEAR(line.at(10.0).y(), 2.0 + 10.0 * std::sqrt(0.75), 1e-12);
    EXPECT_NEAR(line.at(-0.5).x(), 1.0 - 0.25, 1e-12);
}

TEST(RunLine, TurnsClockwiseForAPositiveAngle) {
    RunModel model = straight_run(10.0, 3.0, stiff_joint_sd_rad, 0.0);
    model.bends = {{.x_m = 4.0, .angle_rad = 90.0 * degree}};
    const RunLine line(model, {});
    EXPECT_NEAR(line.at(10.0).x(), 6.0, 1e-12);
    EXPECT_NEAR(line.at(10.0).y(), 4.0, 1e-12);
    EXPECT_NEAR(line.heading_rad(5.0), 90.0 * degree, 1e-12);
}

TEST(RunLine, LosesTheSlipAtABend) {
    RunModel model = straight_run(10.0, 3.0, stiff_joint_sd_rad, 0.0);
    model.bends = {{.x_m = 4.0, .angle_rad = 90.0 * degree, .slip_m = 0.1}};
    const RunLine line(model, {});
    EXPECT_NEAR(line.at(4.0).y(), 4.0, 1e-12);
    EXPECT_NEAR(line.at(10.0).x(), 5.9, 1e-12);
    EXPECT_NEAR(line.without_slip_m(10.0), 9.9, 1e-12);
    EXPECT_NEAR(line.without_slip_m(3.0), 3.0, 1e-12);
}

TEST(RunLine, HasTheDerivativesOfItsPosition) {
    const RunLine line(bent_run(), bent_place);
    const int n = line.columns().all();
    for (const double x : {-0.4, 1.0, 4.1, 5.0, 8.0, 9.5, 14.0}) {
        Eigen::VectorXd east(n);
        Eigen::VectorXd north(n);
        line.derivative(x, east, north);
        EXPECT_LT((east - numeric([&](const RunLine& l) { return l.at(x).x(); })).norm(), 1e-7);
        EXPECT_LT((north - numeric([&](const RunLine& l) { return l.at(x).y(); })).norm(), 1e-7);
    }
}

TEST(RunLine, HasTheDerivativesOfItsMeanHeading) {
    const RunLine line(bent_run(), bent_place);
    for (const double x : {1.0, 4.1, 4.25, 6.05, 8.0, 13.0}) {
        Eigen::VectorXd column(line.columns().all());
        line.mean_heading_derivative(x, column);
        const auto mean = [&](const RunLine& l) { return l.mean_heading_rad(x); };
        EXPECT_LT((column - numeric(mean)).norm(), 1e-7) << x;
    }
}

// A run with a bend at each corner of a published closed traverse comes back to within its
// published misclosure (source in traverse.hpp).
TEST(RunLine, ComesBackToTheStartOfAPublishedTraverseWithinItsMisclosure) {
    RunModel model;
    model.heading0_rad = made::traverse_legs[0].azimuth_rad();
    double x = 0.0;
    for (std::size_t i = 0; i < made::traverse_legs.size(); ++i) {
        if (i > 0) {
            model.bends.push_back({.x_m = x,
                                   .angle_rad = made::traverse_legs[i].azimuth_rad() -
                                                made::traverse_legs[i - 1].azimuth_rad()});
        }
        x += made::traverse_legs[i].length;
    }
    const RunLine line(model, {});
    EXPECT_NEAR(x, 2466.00, 1e-9);
    EXPECT_NEAR(line.at(x).norm(), 0.081, 0.002);
    EXPECT_NEAR(x / line.at(x).norm(), 30000.0, 1000.0);
}

TEST(RunModel, KeepsBendsWithinTheRun) {
    RunModel model = straight_run(5.0, 3.0, stiff_joint_sd_rad, 0.0);
    model.bends = {{.x_m = 4.0, .angle_rad = 0.5}};
    Eigen::VectorXd step = Eigen::VectorXd::Zero(columns_of(model).own());
    step(columns_of(model).bend_x(0)) = 100.0;
    apply_step(model, step, 5.0);
    EXPECT_DOUBLE_EQ(model.bends[0].x_m, 4.8);
}

}  // namespace
}  // namespace sondeline::alignment
