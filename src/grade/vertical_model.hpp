// The linear model of one run's invert, with everything its rows have in common.
//
// z(x) = z₀ + g(x − L/2) + Σ Δ_k max(0, x − t_k) − Σ A_i φ(x; c_i, w_i) + f(x), with
// φ = ½(1 + cos(2π(x − c)/w)) within w/2 of c, and f the unevenness of the bedding. Row covariance
// V = diag(σ²) + bedding + a locator's constant and proportional error, with what of it wanders
// along the run + interpolated ground + the zero of a camera's level.
#pragma once

#include <Eigen/Core>

#include "grade/rows.hpp"

namespace sondeline::grade {

enum class TrendKind { level, grade, ground_grade, grade_break, sag };

// One column of the model and the standard deviation its coefficient has before any data.
struct Trend {
    TrendKind kind = TrendKind::level;
    double at_m = 0.0;     // grade: middle of the run; break: station; sag: centre
    double width_m = 0.0;  // sag only
    double prior_sd = 0.0;
};

// What one unit of the coefficient adds to the invert at a station. ground_grade adds nothing: it
// is the fall of ground that was only assumed level, and acts on rows measured down from it.
double trend_at(const Trend& trend, double station_m);
double trend_in_row(const Trend& trend, const Row& row);

inline constexpr double kLevelSd_m = 100.0;
inline constexpr double kGradeSd = 0.3;
inline constexpr double kBreakSd = 0.03;
inline constexpr double kSagSd_m = 0.05;
inline constexpr double kDeepSagSd_m = 0.15;
inline constexpr double kBeddingSd_m = 0.005;
inline constexpr double kAssumedGroundGradeSd = 0.005;
inline constexpr double kLocatorConstantSd_m = 0.03;
inline constexpr double kLocatorProportionSd = 0.03;
// What a camera's level is off by along a whole clip: its zero, and a head heavier at one end
// (common practice, no source). Shared by the rows of a log, per metre of their length.
inline constexpr double kLevelZeroSd = 0.01;

// Level and grade; with the ground's own grade when it is assumed level.
std::vector<Trend> plain_trends(const RunRows& run);

struct ModelInput {
    const std::vector<Row>* rows = nullptr;  // those used
    const GroundLine* ground = nullptr;
    double scatter = 1.0;  // factor on the variance of locator and probe rows
    // Adds wander of this sd over 1.5 m, so that a real sag is not taken for bad readings.
    double wander_sd_m = 0.0;
    double level_zero_sd = kLevelZeroSd;
    // Variance of the part of a locator's error that wanders, over that of the part that stays.
    double locator_wander = 0.0;
};

// Covariance of the bedding's unevenness f at two stations, square metres.
double bedding_covariance_m2(double first_m, double second_m);

// V of the rows, square metres.
Eigen::MatrixXd row_covariance(const ModelInput& input);
Eigen::MatrixXd columns(const std::vector<Trend>& trends, const std::vector<Row>& rows);
Eigen::VectorXd readings(const std::vector<Row>& rows);
Eigen::VectorXd prior_precision(const std::vector<Trend>& trends);

// Everything later steps need of one solve. `offset_m` was taken off the rows that say a height,
// so that large elevations cost no digits.
struct VerticalModel {
    std::vector<Trend> trends;
    double offset_m = 0.0;
    Eigen::VectorXd y;            // rows, less the offset
    Eigen::MatrixXd vinv_x;       // V⁻¹X
    Eigen::MatrixXd information;  // XᵀV⁻¹X + P
    Eigen::VectorXd right;        // XᵀV⁻¹y
    Eigen::MatrixXd vinv;         // V⁻¹
    Eigen::MatrixXd q;            // V⁻¹ − V⁻¹X(XᵀV⁻¹X + P)⁻¹XᵀV⁻¹
    Eigen::VectorXd qy;
    double log_evidence = 0.0;  // −½yᵀQy − ½ln|V| − ½ln|XᵀV⁻¹X+P| + ½ln|P|
};

VerticalModel solve_model(const ModelInput& input, const std::vector<Trend>& trends);

}  // namespace sondeline::grade
