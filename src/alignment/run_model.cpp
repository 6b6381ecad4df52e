#include "alignment/run_model.hpp"

#include <algorithm>
#include <cmath>

namespace sondeline::alignment {
namespace {

constexpr double last_joint_clear_of_end_m = 0.9;

}  // namespace

RunModel straight_run(double x_end_m, double spacing_m, double joint_sd_rad, double heading0_rad) {
    RunModel model;
    model.joint_spacing_m = spacing_m;
    model.joint_sd_rad = joint_sd_rad;
    model.heading0_rad = heading0_rad;
    for (int j = 1; j * spacing_m < x_end_m - last_joint_clear_of_end_m; ++j) {
        model.joints_rad.push_back(0.0);
    }
    return model;
}

bool has_room_for_bends(double x_end_m) {
    return x_end_m > bend_clear_of_start_m + bend_clear_of_end_m;
}

double clamped_bend_x_m(double x_m, double x_end_m) {
    return std::clamp(x_m, bend_clear_of_start_m, x_end_m - bend_clear_of_end_m);
}

Columns columns_of(const RunModel& model) {
    return {static_cast<int>(model.joints_rad.size()), static_cast<int>(model.bends.size())};
}

void apply_step(RunModel& model, const Eigen::VectorXd& own_step, double x_end_m) {
    const Columns columns = columns_of(model);
    model.port_m += own_step.segment<2>(Columns::port);
    model.heading0_rad += own_step(Columns::heading0);
    model.own_scale += own_step(Columns::own_scale);
    for (int j = 0; j < columns.joints; ++j) model.joints_rad[j] += own_step(columns.joint(j));
    for (int k = 0; k < columns.bends; ++k) {
        BendUnknown& bend = model.bends[k];
        bend.x_m = clamped_bend_x_m(bend.x_m + own_step(columns.bend_x(k)), x_end_m);
        bend.angle_rad += own_step(columns.bend_angle(k));
        bend.slip_m += own_step(columns.bend_slip(k));
    }
}

double largest_turn_rad(const RunModel& model, const Eigen::VectorXd& own_step) {
    const Columns columns = columns_of(model);
    double largest = std::abs(own_step(Columns::heading0));
    for (int j = 0; j < columns.joints; ++j) {
        largest = std::max(largest, std::abs(own_step(columns.joint(j))));
    }
    for (int k = 0; k < columns.bends; ++k) {
        largest = std::max(largest, std::abs(own_step(columns.bend_angle(k))));
    }
    return largest;
}

}  // namespace sondeline::alignment
