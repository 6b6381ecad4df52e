#include "grade/even_fall.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

namespace sondeline::grade {

std::optional<Estimate> even_fall_m(const RunRows& run, const FallBy& by) {
    if (std::ranges::count_if(by.rows, says_height) < 2) return std::nullopt;
    const VerticalModel model = solve_model({&by.rows, &run.ground, by.scatter}, plain_trends(run));
    const auto grade = std::ranges::find(model.trends, TrendKind::grade, &Trend::kind);
    const Eigen::Index k = grade - model.trends.begin();
    const Eigen::LLT<Eigen::MatrixXd> factor(model.information);
    const Eigen::VectorXd unit = Eigen::VectorXd::Unit(model.information.rows(), k);
    return Estimate{-run.length_m * factor.solve(model.right)(k),
                    run.length_m * std::sqrt(factor.solve(unit)(k))};
}

}  // namespace sondeline::grade
