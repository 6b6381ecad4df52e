#include "alignment/run_data.hpp"

#include <cmath>

#include <Eigen/Cholesky>

namespace sondeline::alignment {

void use_variance_factor(PositionDatum& datum, double variance_factor) {
    const Eigen::Matrix2d used = variance_factor * datum.covariance_m2;
    const Eigen::Matrix2d lower = used.llt().matrixL();
    datum.whitening = lower.triangularView<Eigen::Lower>().solve(Eigen::Matrix2d::Identity());
    datum.sd_m = std::sqrt(0.5 * used.trace());
}

}  // namespace sondeline::alignment
