#include "grade/ground_model.hpp"

#include <Eigen/Cholesky>

#include "grade/vertical_model.hpp"

namespace sondeline::grade {

namespace {

constexpr double kGroundFallSd = 0.05;

using Index = Eigen::Index;

}  // namespace

GroundModel solve_ground(const std::vector<GroundPoint>& known) {
    const auto n = static_cast<Index>(known.size());
    const GroundPoint& first = known.front();
    Eigen::MatrixXd v(n, n);
    Eigen::MatrixXd x(n, 2);
    Eigen::VectorXd y(n);
    for (Index i = 0; i < n; ++i) {
        const GroundPoint& point = known[static_cast<std::size_t>(i)];
        const double along_m = point.station_m - first.station_m;
        // Stations rise, so that the walk of the nearer one is what both have in common.
        for (Index j = i; j < n; ++j) v(i, j) = v(j, i) = kGroundWander_m2_per_m * along_m;
        v(i, i) += point.elevation_m.sd * point.elevation_m.sd;
        x.row(i) << 1.0, along_m;
        y(i) = point.elevation_m.value - first.elevation_m.value;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(v);
    const Eigen::MatrixXd vinv = factor.solve(Eigen::MatrixXd::Identity(n, n));
    const Eigen::MatrixXd vinv_x = vinv * x;
    Eigen::MatrixXd information = x.transpose() * vinv_x;
    information(0, 0) += 1.0 / (kLevelSd_m * kLevelSd_m);
    information(1, 1) += 1.0 / (kGroundFallSd * kGroundFallSd);
    GroundModel model;
    model.q = vinv - vinv_x * information.llt().solve(vinv_x.transpose());
    model.qy = model.q * y;
    model.half_squares = 0.5 * y.dot(model.qy);
    return model;
}

}  // namespace sondeline::grade
