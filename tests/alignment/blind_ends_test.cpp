#include "alignment/blind_ends.hpp"

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "alignment/run_data.hpp"
#include "alignment/score.hpp"
#include "made/noise.hpp"

namespace sondeline::alignment {
namespace {

// Bends come as in a Poisson process: at least one within L has probability 1 − e^(−λL).
TEST(BlindEnds, BendAsOftenAsAPoissonProcessDoes) {
    EXPECT_DOUBLE_EQ(bend_probability({3.0, 3.0}), 0.0);
    EXPECT_NEAR(bend_probability({3.0, 8.0}), 1.0 - std::exp(-0.5), 1e-12);
    EXPECT_NEAR(bend_probability({8.0, 3.0}), 1.0 - std::exp(-0.5), 1e-12);
}

TEST(BlindEnds, LeaveWhatIsSeenAsItIs) {
    const RunLine line(straight_run(10.0, 3.0, 0.01, 0.0), {});
    Eigen::MatrixXd points = 0.01 * Eigen::MatrixXd::Identity(4, 4);
    widen_for_blind_end(line, {6.0, 10.0}, {2.0, 6.0}, points);
    EXPECT_LT((points - 0.01 * Eigen::MatrixXd::Identity(4, 4)).norm(), 1e-12);
}

TEST(BlindEnds, GrowWithTheStretchNobodySaw) {
    const RunLine line(straight_run(10.0, 3.0, 0.01, 0.0), {});
    double last = 0.0;
    for (const double from : {9.5, 8.0, 6.0, 4.0}) {
        Eigen::MatrixXd points = 0.01 * Eigen::MatrixXd::Identity(2, 2);
        widen_for_blind_end(line, {from, 10.0}, {10.0}, points);
        EXPECT_GT(points.trace(), last);
        last = points.trace();
    }
}

// The end of a run whose last stretch may bend, drawn a hundred thousand times.
TEST(BlindEnds, HoldNinetyFiveInAHundredOfTheEndsThatMayBe) {
    const double sd = 0.15;
    for (const double blind_m : {2.0, 4.0, 7.0}) {
        const BlindEnd end{10.0 - blind_m, 10.0};
        const RunLine line(straight_run(10.0, 3.0, 0.01, 0.3), {});
        Eigen::MatrixXd points = sd * sd * Eigen::MatrixXd::Identity(2, 2);
        widen_for_blind_end(line, end, {10.0}, points);
        const Eigen::Matrix2d information = points.inverse();
        made::Noise noise(3);
        const int draws = 100'000;
        int held = 0;
        for (int i = 0; i < draws; ++i) {
            Eigen::Vector2d off(noise.normal(sd), noise.normal(sd));
            if (noise.uniform() < 1.0 - std::exp(-0.1 * blind_m)) {
                const double at = end.from_x_m + blind_m * noise.uniform();
                const Eigen::Vector2d lever = line.at(10.0) - line.at(at);
                const Eigen::Rotation2Dd turn(noise.normal(60.0 * degree));
                off += turn * lever - lever;
            }
            held += off.dot(information * off) <= 5.991465 ? 1 : 0;
        }
        EXPECT_NEAR(static_cast<double>(held) / draws, 0.95, 0.02) << blind_m;
    }
}

}  // namespace
}  // namespace sondeline::alignment
