#include "alignment/run_data.hpp"

#include <cmath>

#include <Eigen/Cholesky>

namespace sondeline::alignment {

void add_reading_error(PositionDatum& datum, std::optional<double> heading_rad) {
    Eigen::Matrix2d spread = 0.5 * Eigen::Matrix2d::Identity();
    if (heading_rad) {
        const Eigen::Vector2d u(std::sin(*heading_rad), std::cos(*heading_rad));
        spread = u * u.transpose();
    }
    datum.covariance_m2 = datum.stated_m2 + datum.station_sd_m * datum.station_sd_m * spread;
}

void use_variance_factor(PositionDatum& datum, double variance_factor) {
    const Eigen::Matrix2d used = variance_factor * datum.covariance_m2;
    const Eigen::Matrix2d lower = used.llt().matrixL();
    datum.whitening = lower.triangularView<Eigen::Lower>().solve(Eigen::Matrix2d::Identity());
    datum.sd_m = std::sqrt(0.5 * used.trace());
}

}  // namespace sondeline::alignment
