// Cost of a run's observations and priors, and its normal equations.
//
// Cost is the sum of losses of squared residuals; the normal equations are those of the weighted
// least squares with the same slope: N = Σ w·J·Jᵀ, g = Σ w·J·r (half the cost's gradient).
#pragma once

#include <optional>

#include <Eigen/Core>

#include "alignment/run_data.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

enum class FixLoss {
    cauchy,   // holds every fix: while seeking the shape
    mixture,  // the likelihood with outliers: to compare models
    plain     // least squares without the rejected fixes: at the end
};

struct Losses {
    FixLoss fixes = FixLoss::mixture;
    std::optional<double> sparse_joint_rad =
        std::nullopt;  // joints under SparseTurn instead of their spread
};

struct RunBlock {
    Columns columns;
    Eigen::MatrixXd normal;    // all() × all(), symmetric
    Eigen::VectorXd gradient;  // all()
    double cost = 0.0;
};

double run_cost(const RunData& data, const RunModel& model, const RunPlace& place,
                const Losses& losses);

RunBlock linearise_run(const RunData& data, const RunModel& model, const RunPlace& place,
                       const Losses& losses);

// Loss of one fix's position or heading at its present residual, under the mixture.
struct FixState {
    double s = 0.0;  // squared, standardised residual
    double weight = 1.0;
    double outlier_probability = 0.0;
    double outlier_log_odds = 0.0;  // ln P/(1 − P), which does not round to certainty
};
FixState state_of(const PositionDatum& datum, const RunLine& line);
FixState state_of(const HeadingDatum& datum, const RunLine& line);

}  // namespace sondeline::alignment
