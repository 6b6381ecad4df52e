// The unknowns of one run: where the pipe leaves its start structure, how it heads, where it turns.
//
// x is nominal: counter metres from the start structure. The heading steps at joints (every
// `joint_spacing_m`, small) and at bends (few, any angle). At a bend the cable gains or loses
// `slip_m`: the counter runs on while the head does not.
#pragma once

#include <numbers>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "sondeline/survey.hpp"

namespace sondeline::alignment {

inline constexpr double degree = std::numbers::pi / 180.0;

struct BendUnknown {
    double x_m = 0.0;
    double angle_rad = 0.0;  // clockwise positive
    double slip_m = 0.0;
    std::optional<LikelyBend> likely = std::nullopt;  // what holds it where it was noted or seen
};

struct RunModel {
    double joint_spacing_m = 3.0;
    double joint_sd_rad = 1.0 * degree;
    Eigen::Vector2d port_m = Eigen::Vector2d::Zero();  // from the structure's point to the pipe
    double heading0_rad = 0.0;
    double own_scale = 0.0;  // logarithm, on top of the reel's
    std::vector<double> joints_rad;
    std::vector<BendUnknown> bends;
};

inline constexpr double stiff_joint_sd_rad = 1.0 * degree;     // per 3 m
inline constexpr double flexible_joint_sd_rad = 6.0 * degree;  // pipe laid along a contour

// A straight run with joints every `spacing_m` up to 0.9 m before its end.
RunModel straight_run(double x_end_m, double spacing_m, double joint_sd_rad, double heading0_rad);

// Bends stay this far from either end.
inline constexpr double bend_clear_of_start_m = 0.3;
inline constexpr double bend_clear_of_end_m = 0.2;
double clamped_bend_x_m(double x_m, double x_end_m);
bool has_room_for_bends(double x_end_m);

// Columns of the unknowns a run touches: its own, then the position of its start structure, of its
// end structure, the reel's scale, and the offset of the receiver that took its positions.
struct Columns {
    int joints = 0;
    int bends = 0;

    static constexpr int port = 0;
    static constexpr int heading0 = 2;
    static constexpr int own_scale = 3;
    // Shared with other runs: five, or seven when the run's receiver has an offset.
    static constexpr int most_shared = 7;
    static constexpr int without_offset = 5;
    int shared = without_offset;

    int joint(int j) const { return 4 + j; }
    int bend_x(int k) const { return 4 + joints + 3 * k; }
    int bend_angle(int k) const { return bend_x(k) + 1; }
    int bend_slip(int k) const { return bend_x(k) + 2; }
    int own() const { return 4 + joints + 3 * bends; }
    int from() const { return own(); }
    int to() const { return own() + 2; }
    int reel_scale() const { return own() + 4; }
    int offset() const { return own() + 5; }
    int all() const { return own() + shared; }
};

Columns columns_of(const RunModel& model);

// Adds a step in the own unknowns, then puts bends back within their limits.
void apply_step(RunModel& model, const Eigen::VectorXd& own_step, double x_end_m);

// Largest change of an angle in such a step.
double largest_turn_rad(const RunModel& model, const Eigen::VectorXd& own_step);

}  // namespace sondeline::alignment
