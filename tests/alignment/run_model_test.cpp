#include "alignment/run_model.hpp"

#include <set>

#include <gtest/gtest.h>

namespace sondeline::alignment {
namespace {

RunModel model_with_bends() {
    RunModel model = straight_run(20.0, 3.0, stiff_joint_sd_rad, 0.5);
    model.bends = {{.x_m = 5.0, .angle_rad = 0.4},
                   {.x_m = 11.0, .angle_rad = -0.7, .slip_m = 0.02}};
    return model;
}

TEST(RunModel, HasAJointEveryThreeMetresButNoneAtTheEnd) {
    EXPECT_EQ(straight_run(20.0, 3.0, 0.01, 0.0).joints_rad.size(), 6U);  // 3 … 18
    EXPECT_EQ(straight_run(18.5, 3.0, 0.01, 0.0).joints_rad.size(), 5U);  // 18 is 0.5 m off the end
    EXPECT_EQ(straight_run(0.8, 3.0, 0.01, 0.0).joints_rad.size(), 0U);
}

TEST(RunModel, GivesEveryUnknownAColumnOfItsOwn) {
    Columns columns = columns_of(model_with_bends());
    columns.shared = Columns::most_shared;
    std::set<int> seen{Columns::port, Columns::port + 1, Columns::heading0, Columns::own_scale};
    for (int j = 0; j < columns.joints; ++j) seen.insert(columns.joint(j));
    for (int k = 0; k < columns.bends; ++k) {
        seen.insert({columns.bend_x(k), columns.bend_angle(k), columns.bend_slip(k)});
    }
    EXPECT_EQ(static_cast<int>(seen.size()), columns.own());
    seen.insert({columns.from(), columns.from() + 1, columns.to(), columns.to() + 1,
                 columns.reel_scale(), columns.offset(), columns.offset() + 1});
    EXPECT_EQ(static_cast<int>(seen.size()), columns.all());
    EXPECT_EQ(*seen.begin(), 0);
    EXPECT_EQ(*seen.rbegin(), columns.all() - 1);
}

TEST(RunModel, TakesAStepInEveryUnknownOfItsOwn) {
    RunModel model = model_with_bends();
    const Columns columns = columns_of(model);
    const Eigen::VectorXd step = Eigen::VectorXd::LinSpaced(columns.own(), 0.01, 0.05);
    apply_step(model, step, 20.0);
    EXPECT_DOUBLE_EQ(model.port_m.y(), step(Columns::port + 1));
    EXPECT_DOUBLE_EQ(model.heading0_rad, 0.5 + step(Columns::heading0));
    EXPECT_DOUBLE_EQ(model.own_scale, step(Columns::own_scale));
    EXPECT_DOUBLE_EQ(model.joints_rad[3], step(columns.joint(3)));
    EXPECT_DOUBLE_EQ(model.bends[1].x_m, 11.0 + step(columns.bend_x(1)));
    EXPECT_DOUBLE_EQ(model.bends[1].angle_rad, -0.7 + step(columns.bend_angle(1)));
    EXPECT_DOUBLE_EQ(model.bends[1].slip_m, 0.02 + step(columns.bend_slip(1)));
}

TEST(RunModel, KeepsBendsOnThePipeWhateverTheStep) {
    RunModel model = model_with_bends();
    const Columns columns = columns_of(model);
    Eigen::VectorXd step = Eigen::VectorXd::Zero(columns.own());
    step(columns.bend_x(0)) = -100.0;
    step(columns.bend_x(1)) = 100.0;
    apply_step(model, step, 20.0);
    EXPECT_DOUBLE_EQ(model.bends[0].x_m, bend_clear_of_start_m);
    EXPECT_DOUBLE_EQ(model.bends[1].x_m, 20.0 - bend_clear_of_end_m);
}

TEST(RunModel, TellsTheLargestTurnOfAStep) {
    const RunModel model = model_with_bends();
    const Columns columns = columns_of(model);
    Eigen::VectorXd step = Eigen::VectorXd::Zero(columns.own());
    step(columns.bend_x(0)) = 7.0;  // no angle
    step(columns.joint(2)) = -0.2;
    step(columns.bend_angle(1)) = 0.1;
    EXPECT_DOUBLE_EQ(largest_turn_rad(model, step), 0.2);
}

TEST(RunModel, HasNoRoomForBendsInAStub) {
    EXPECT_FALSE(has_room_for_bends(0.4));
    EXPECT_TRUE(has_room_for_bends(5.0));
}

}  // namespace
}  // namespace sondeline::alignment
