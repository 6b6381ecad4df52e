// How far a run's line and length may be off: the spread of the least squares, then averaged over
// rival models with other bends.
//
// Of the chosen line p₀ with rivals p_i, their own covariances C_i and weights w_i =
// e^(−score_i/2):
//   C = Σ w_i·(C_i + (p_i − p₀)(p_i − p₀)ᵀ)/Σ w_i
// With coarse fixes most of what is not known is whether and where the pipe bends, which no single
// model's covariance contains.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

struct Spread {
    Eigen::MatrixXd points;        // of (e0, n0, e1, n1, …), square metres
    double length_variance = 0.0;  // of metres along the pipe
    double scale_variance = 0.0;   // of the logarithm of the run's whole scale
    Eigen::VectorXd bend_x_variance;
    Eigen::VectorXd bend_angle_variance;  // of the chosen model's bends
};

// Covariance of all columns of a lone run at its state; empty when the normal matrix is singular.
std::optional<Eigen::MatrixXd> unknowns_covariance(const LoneRun& lone);

// The chosen model alone, at the nominal stations given.
std::optional<Spread> own_spread(const LoneRun& lone, const std::vector<double>& x_m);

// Averaged over models; `own_spread` when no rival weighs anything.
std::optional<Spread> averaged_spread(const LoneRun& lone, const std::vector<double>& x_m);

// The chosen model, each bend dropped, and one bend more in each gap; converged, no two alike.
std::vector<Candidate> rival_models(const LoneRun& lone);

// Metres along the pipe up to a nominal station.
double pipe_length_m(const RunModel& model, double reel_scale, double x_m);

}  // namespace sondeline::alignment
