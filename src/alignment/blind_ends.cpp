#include "alignment/blind_ends.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Cholesky>

#include "alignment/run_data.hpp"
#include "alignment/score.hpp"

namespace sondeline::alignment {
namespace {

constexpr double ellipse_square = 5.991465;  // −2 ln 0.05
constexpr int places = 4;                    // of a bend within the stretch
constexpr int radii = 10;
constexpr int ways = 6;

// Middles of five equally probable parts of a half normal distribution.
constexpr std::array<double, 5> turns_in_sd{0.1257, 0.3853, 0.6745, 1.0364, 1.6449};

struct HiddenBend {
    double x_m = 0.0;
    Eigen::Rotation2Dd turn{0.0};
    Eigen::Vector2d about_m = Eigen::Vector2d::Zero();
};

std::vector<HiddenBend> hidden_bends(const RunLine& line, const BlindEnd& end) {
    std::vector<HiddenBend> out;
    for (int i = 0; i < places; ++i) {
        const double x = end.from_x_m + (end.to_x_m - end.from_x_m) * (i + 0.5) / places;
        for (const double size : turns_in_sd) {
            for (const double side : {-1.0, 1.0}) {
                out.push_back({x, Eigen::Rotation2Dd(side * size * bend_angle_sd_rad), line.at(x)});
            }
        }
    }
    return out;
}

Eigen::Vector2d moved_by(const HiddenBend& bend, const BlindEnd& end, double x_m,
                         const Eigen::Vector2d& at) {
    const bool beyond = end.to_x_m > end.from_x_m ? x_m > bend.x_m : x_m < bend.x_m;
    if (!beyond) return Eigen::Vector2d::Zero();
    const Eigen::Vector2d lever = at - bend.about_m;
    return bend.turn * lever - lever;
}

// Equally probable steps of a normal distribution in two dimensions with this covariance.
std::vector<Eigen::Vector2d> normal_steps(const Eigen::Matrix2d& covariance) {
    const Eigen::Matrix2d lower = covariance.llt().matrixL();
    std::vector<Eigen::Vector2d> out;
    for (int i = 0; i < radii; ++i) {
        const double radius = std::sqrt(-2.0 * std::log(1.0 - (i + 0.5) / radii));
        for (int j = 0; j < ways; ++j) {
            const double angle = 2.0 * std::numbers::pi * (j + 0.5 * (i % 2)) / ways;
            out.push_back(lower *
                          Eigen::Vector2d(radius * std::cos(angle), radius * std::sin(angle)));
        }
    }
    return out;
}

// 95 % of the cases lie within this squared distance in terms of `covariance`.
double square_holding_most(const std::vector<Eigen::Vector2d>& moves, double probability,
                           const Eigen::Matrix2d& before, const Eigen::Matrix2d& covariance) {
    const Eigen::LLT<Eigen::Matrix2d> factor(covariance);
    std::vector<std::pair<double, double>> cases;  // squared distance, weight
    const std::vector<Eigen::Vector2d> steps = normal_steps(before);
    const auto add = [&](const Eigen::Vector2d& move, double weight) {
        for (const Eigen::Vector2d& step : steps) {
            const Eigen::Vector2d off = move + step;
            cases.emplace_back(off.dot(factor.solve(off)), weight);
        }
    };
    add(Eigen::Vector2d::Zero(), 1.0 - probability);
    for (const Eigen::Vector2d& move : moves) {
        add(move, probability / static_cast<double>(moves.size()));
    }
    std::sort(cases.begin(), cases.end());
    double left = 0.05 * static_cast<double>(steps.size());
    for (auto it = cases.rbegin(); it != cases.rend(); ++it) {
        left -= it->second;
        if (left < 0.0) return it->first;
    }
    return 0.0;
}

}  // namespace

double bend_probability(const BlindEnd& end) {
    return -std::expm1(-bends_per_m * std::abs(end.to_x_m - end.from_x_m));
}

void widen_for_blind_end(const RunLine& line, const BlindEnd& end, const std::vector<double>& x_m,
                         Eigen::MatrixXd& points) {
    const std::vector<HiddenBend> bends = hidden_bends(line, end);
    const double probability = bend_probability(end);
    Eigen::MatrixXd moves(points.rows(), static_cast<Eigen::Index>(bends.size()));
    for (std::size_t i = 0; i < x_m.size(); ++i) {
        const Eigen::Vector2d at = line.at(x_m[i]);
        for (std::size_t b = 0; b < bends.size(); ++b) {
            moves.block<2, 1>(2 * static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(b)) =
                moved_by(bends[b], end, x_m[i], at);
        }
    }
    const Eigen::MatrixXd before = points;
    points += probability / static_cast<double>(bends.size()) * moves * moves.transpose();
    Eigen::VectorXd widening = Eigen::VectorXd::Ones(points.rows());
    for (Eigen::Index i = 0; i < points.rows(); i += 2) {
        std::vector<Eigen::Vector2d> here;
        for (Eigen::Index b = 0; b < moves.cols(); ++b) here.emplace_back(moves.block<2, 1>(i, b));
        const bool moved = moves.middleRows<2>(i).cwiseAbs().maxCoeff() > 0.0;
        if (!moved) continue;
        const double square = square_holding_most(here, probability, before.block<2, 2>(i, i),
                                                  points.block<2, 2>(i, i));
        widening.segment<2>(i).setConstant(std::sqrt(std::max(1.0, square / ellipse_square)));
    }
    points = widening.asDiagonal() * points * widening.asDiagonal();
}

}  // namespace sondeline::alignment
