// Where a run's line lies and how far it and the length may be off: the least squares, then
// averaged over rival models with other bends.
//
// Of models with lines p_i, their own covariances C_i and weights w_i = e^(−score_i/2), Σ w_i = 1:
//   p = Σ w_i·p_i    C = Σ w_i·(C_i + (p_i − p)(p_i − p)ᵀ)
// With coarse fixes most of what is not known is whether and where the pipe bends, which no single
// model's covariance contains. Of all lines p has the least square of the error to be expected.
#pragma once

#include "alignment/rivals.hpp"

namespace sondeline::alignment {

struct Spread {
    Eigen::MatrixXd points;   // of (e0, n0, e1, n1, …), square metres
    Eigen::VectorXd shift_m;  // of the averaged line's (e0, n0, …) from the chosen model's
    // What of the first and of the last point's covariance stands for what may hide beyond the
    // outermost fixes.
    Eigen::Matrix2d blind_start_m2 = Eigen::Matrix2d::Zero();
    Eigen::Matrix2d blind_end_m2 = Eigen::Matrix2d::Zero();
    double length_variance = 0.0;  // of metres along the pipe
    double scale_variance = 0.0;   // of the logarithm of the run's whole scale
    Eigen::VectorXd bend_x_variance;
    Eigen::VectorXd bend_angle_variance;  // of the chosen model's bends
};

// Covariance of all columns of a lone run at its state; empty when the normal matrix is singular.
std::optional<Eigen::MatrixXd> unknowns_covariance(const LoneRun& lone, FixLoss loss);

// The chosen model alone, at the nominal stations given. `loss` is plain where fixes
// marked as rejected shall be left out whatever the model, and the mixture where every model
// judges them anew.
std::optional<Spread> own_spread(const LoneRun& lone, const std::vector<double>& x_m, FixLoss loss);

// Averaged over models, the chosen one first, with what may hide beyond the outermost fixes.
std::optional<Spread> averaged_spread(const LoneRun& lone, const std::vector<double>& x_m,
                                      FixLoss loss, const std::vector<Candidate>& pool);

// How many times the averaged variance is that of the chosen model, at both ends of the run; 1 or
// more.
struct EndWidening {
    double start = 1.0;
    double end = 1.0;
};
EndWidening end_widening(const LoneRun& lone, FixLoss loss);
EndWidening end_widening(const Spread& own, const Spread& averaged);

// Metres along the pipe up to a nominal station.
double pipe_length_m(const RunModel& model, double reel_scale, double x_m);

}  // namespace sondeline::alignment
