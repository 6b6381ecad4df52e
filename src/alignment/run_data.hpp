// What is observed of one run, ready for the adjustment: metres, radians, each with its spread.
#pragma once

#include <numbers>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "sondeline/survey.hpp"

namespace sondeline::alignment {

// A fix with a position.
struct PositionDatum {
    int fix = -1;      // index into Site::fixes
    double x_m = 0.0;  // nominal station
    Eigen::Vector2d at_m = Eigen::Vector2d::Zero();
    Eigen::Matrix2d stated_m2 = Eigen::Matrix2d::Identity();  // covariance as stated
    Eigen::Matrix2d covariance_m2 =
        Eigen::Matrix2d::Identity();                          // with the station's reading error
    Eigen::Matrix2d whitening = Eigen::Matrix2d::Identity();  // lower; of the covariance in use
    double sd_m = 1.0;      // root mean variance of the covariance in use
    double stated_m = 0.0;  // fixes with equal stated accuracy are judged together
    double station_sd_m = station_reading_sd_m;
    bool shares_offset = false;  // of the run's receiver
    bool rejected = false;       // left out of the final least squares
    bool held = false;  // taken for good whatever it says, while a model that believes it is sought
};

// The line a fix saw the pipe lie on; h and h + π are the same.
struct HeadingDatum {
    int fix = -1;
    double x_m = 0.0;
    double heading_rad = 0.0;
    double sd_rad = 0.1;
    bool rejected = false;
};

struct StartHeading {
    double heading_rad = 0.0;  // directed
    double sd_rad = 0.1;
};

// The logarithm of pipe metres per counter metre, by joints and the length of sticks.
struct StickScale {
    double log_scale = 0.0;
    double sd = 0.01;
};

struct RunData {
    int run = -1;       // index into Site::runs
    int from_node = 0;  // index into NetworkData::nodes
    std::optional<int> to_node;
    int reel = 0;                 // index into NetworkData::reels
    std::optional<int> receiver;  // index into NetworkData::receivers_m
    double x_end_m = 0.0;
    bool length_measured = false;
    double plan_factor = 1.0;
    double port_sd_from_m = 0.05;
    double port_sd_to_m = 0.05;
    bool ends_elsewhere = false;    // than at the structure it was said to reach
    bool starts_elsewhere = false;  // than at the structure it was said to leave
    double start_off_m = 0.0;       // how far from there, when nothing says where instead
    bool start_unknown = false;     // so far off that its length says nothing
    bool start_borne_out = false;   // by the positions, where it was in doubt
    std::optional<StartHeading> start_heading;
    std::optional<StickScale> sticks;
    std::vector<PositionDatum> positions;  // by station
    std::vector<HeadingDatum> headings;    // by station
    std::vector<LikelyBend> likely_bends;  // by station
};

// The station is known to `station_sd_m` along the pipe. With its direction unknown half of that
// variance stands for each axis; once it is known all of it lies along.
void add_reading_error(PositionDatum& datum, std::optional<double> heading_rad);

// Sets `whitening` and `sd_m` from the stated covariance times `variance_factor`.
void use_variance_factor(PositionDatum& datum, double variance_factor);

// Standard deviations of the model's own unknowns.
inline constexpr double reel_scale_sd = 0.015;
inline constexpr double own_scale_sd = 0.010;
inline constexpr double bend_angle_sd_rad = std::numbers::pi / 3.0;
inline constexpr double bend_slip_sd_m = 0.04;

}  // namespace sondeline::alignment
