#include <gtest/gtest.h>

#include "alignment/linearise.hpp"
#include "alignment/residuals/bend_turn.hpp"
#include "alignment/residuals/end_port.hpp"
#include "alignment/residuals/heading.hpp"
#include "alignment/residuals/position.hpp"
#include "alignment/residuals/start_heading.hpp"
#include "alignment/residuals/tie.hpp"

namespace sondeline::alignment {
namespace {

RunData observed_run() {
    RunData data;
    data.x_end_m = 12.0;
    data.to_node = 1;
    data.port_sd_to_m = 0.2;
    data.start_heading = StartHeading{0.25, 5.0 * degree};
    for (const double x : {2.0, 5.5, 9.0}) {
        PositionDatum datum;
        datum.x_m = x;
        datum.at_m = {0.3 * x + 0.1, x};
        datum.stated_m2 << 0.02, 0.005, 0.005, 0.03;
        add_reading_error(datum, std::nullopt);
        use_variance_factor(datum, 1.0);
        data.positions.push_back(datum);
        data.headings.push_back({.fix = 0, .x_m = x, .heading_rad = 0.4, .sd_rad = 0.1});
    }
    return data;
}

RunModel trial_model() {
    RunModel model = straight_run(12.0, 3.0, stiff_joint_sd_rad, 0.35);
    model.joints_rad[1] = 0.01;
    model.bends = {
        {.x_m = 4.0, .angle_rad = 0.2, .slip_m = 0.01, .likely = LikelyBend{.x_m = 3.9}}};
    return model;
}

const RunPlace trial_place{.from_m = {0.1, -0.1}, .to_m = {4.0, 11.0}, .reel_scale = 0.004};

TEST(PositionResidual, CountsStandardDeviationsOfItsCovariance) {
    PositionDatum datum;
    datum.x_m = 2.0;
    datum.at_m = {0.3, 2.0};
    datum.covariance_m2 = Eigen::Vector2d(0.09, 0.04).asDiagonal();
    use_variance_factor(datum, 1.0);
    const RunLine line(straight_run(5.0, 3.0, 0.01, 0.0), {});
    EXPECT_NEAR(PositionResidual{datum}.value(line).x(), -1.0, 1e-12);
    EXPECT_NEAR(PositionResidual{datum}.value(line).y(), 0.0, 1e-12);
    use_variance_factor(datum, 4.0);
    EXPECT_NEAR(PositionResidual{datum}.value(line).x(), -0.5, 1e-12);
}

TEST(HeadingResidual, IsTheSameForOppositeHeadings) {
    const RunLine line(straight_run(5.0, 3.0, 0.01, 40.0 * degree), {});
    const HeadingDatum forth{.fix = 0, .x_m = 1.0, .heading_rad = 30.0 * degree, .sd_rad = 0.1};
    HeadingDatum back = forth;
    back.heading_rad += std::numbers::pi;
    const double r = HeadingResidual{forth}.value(line);
    EXPECT_NEAR(r, std::sin(10.0 * degree) / 0.1, 1e-12);
    EXPECT_NEAR(HeadingResidual{back}.value(line), -r, 1e-12);
}

TEST(StartHeadingResidual, GoesTheShortWayRound) {
    const StartHeading datum{350.0 * degree, 5.0 * degree};
    EXPECT_NEAR(StartHeadingResidual{datum}.value(straight_run(5.0, 3.0, 0.01, 10.0 * degree)), 4.0,
                1e-12);
}

TEST(TieResidual, IsTheTapeLessTheDistanceByItsSpread) {
    const TieTerm tie{.point = 0, .reference = 1, .distance_m = 13.0, .sd_m = 0.02};
    EXPECT_NEAR(TieResidual{tie}.value({5.0, 12.0}, {0.0, 0.0}), 0.0, 1e-12);
    EXPECT_NEAR(TieResidual{tie}.value({5.0, 12.0}, {21.0, 0.0}), 350.0, 1e-9);
    const Eigen::Vector2d slope = TieResidual{tie}.derivative({5.0, 12.0}, {0.0, 0.0});
    EXPECT_NEAR(slope.x(), 5.0 / 13.0 / 0.02, 1e-9);
    EXPECT_NEAR(slope.y(), 12.0 / 13.0 / 0.02, 1e-9);
    EXPECT_EQ(TieResidual{tie}.derivative({1.0, 1.0}, {1.0, 1.0}).norm(), 0.0);
}

// Half the slope of the cost by each column, by central differences.
Eigen::VectorXd numeric_gradient(const RunData& data, const Losses& losses) {
    const Columns columns = columns_of(trial_model());
    Eigen::VectorXd out(columns.all());
    const double h = 1e-6;
    for (int i = 0; i < columns.all(); ++i) {
        double side[2];
        for (const int sign : {0, 1}) {
            Eigen::VectorXd step = Eigen::VectorXd::Zero(columns.all());
            step(i) = sign == 0 ? -h : h;
            RunModel model = trial_model();
            apply_step(model, step.head(columns.own()), data.x_end_m);
            RunPlace place = trial_place;
            place.from_m += step.segment<2>(columns.from());
            place.to_m += step.segment<2>(columns.to());
            place.reel_scale += step(columns.reel_scale());
            side[sign] = run_cost(data, model, place, losses);
        }
        out(i) = 0.5 * (side[1] - side[0]) / (2.0 * h);
    }
    return out;
}

TEST(BendTurn, HasANormalDistributionUpToARightAngle) {
    const BendTurn turn{60.0 * degree};
    for (const double by_deg : {-90.0, 10.0, 45.0}) {
        EXPECT_NEAR(turn.cost(by_deg * degree), by_deg * by_deg / 3600.0, 1e-12);
    }
}

// (120/60)² + ((120 − 100)/10)² = 8; half the derivative by central differences.
TEST(BendTurn, IsHardlyFarMoreThanARightAngle) {
    const BendTurn turn{60.0 * degree};
    EXPECT_NEAR(turn.cost(-120.0 * degree), 8.0, 1e-12);
    for (const double by_deg : {-150.0, -50.0, 80.0, 130.0}) {
        const double at = by_deg * degree;
        const double step = 1e-6;
        const double slope = (turn.cost(at + step) - turn.cost(at - step)) / (4.0 * step);
        EXPECT_NEAR(turn.gradient(at), slope, 1e-6) << by_deg;
        const double bend = (turn.gradient(at + step) - turn.gradient(at - step)) / (2.0 * step);
        EXPECT_NEAR(turn.information(at), bend, 1e-5) << by_deg;
    }
}

TEST(LineariseRun, GivesTheSlopeOfTheCostUnderEveryLoss) {
    const RunData data = observed_run();
    for (const FixLoss fixes : {FixLoss::cauchy, FixLoss::mixture, FixLoss::plain}) {
        const RunBlock block = linearise_run(data, trial_model(), trial_place, {.fixes = fixes});
        const Eigen::VectorXd expected = numeric_gradient(data, {.fixes = fixes});
        EXPECT_LT((block.gradient - expected).norm(), 1e-5 * expected.norm());
        EXPECT_NEAR(block.cost, run_cost(data, trial_model(), trial_place, {.fixes = fixes}), 1e-9);
    }
}

TEST(LineariseRun, GivesTheSlopeOfSparseJoints) {
    const RunData data = observed_run();
    const Losses losses{.fixes = FixLoss::mixture, .sparse_joint_rad = 1.5 * degree};
    const RunBlock block = linearise_run(data, trial_model(), trial_place, losses);
    const Eigen::VectorXd expected = numeric_gradient(data, losses);
    EXPECT_LT((block.gradient - expected).norm(), 1e-5 * expected.norm());
}

TEST(LineariseRun, LeavesRejectedFixesOutOfPlainLeastSquares) {
    RunData data = observed_run();
    const double before = run_cost(data, trial_model(), trial_place, {.fixes = FixLoss::plain});
    data.positions[1].at_m.x() += 100.0;
    data.positions[1].rejected = true;
    const double after = run_cost(data, trial_model(), trial_place, {.fixes = FixLoss::plain});
    EXPECT_LT(after, before);
}

}  // namespace
}  // namespace sondeline::alignment
