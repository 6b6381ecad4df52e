// Problems of a single run whose answer is known by construction.
#pragma once

#include "alignment/solve.hpp"
#include "made/noise.hpp"
#include "small_sites.hpp"

namespace sondeline::alignment {

inline PositionDatum fix_at(double x_m, Eigen::Vector2d at, double sd_m) {
    PositionDatum datum;
    datum.x_m = x_m;
    datum.at_m = at;
    datum.stated_m = sd_m;
    datum.covariance_m2 = sd_m * sd_m * Eigen::Matrix2d::Identity();
    datum.stated_m2 = datum.covariance_m2;
    use_variance_factor(datum, 1.0);
    return datum;
}

inline Eigen::Vector2d vector_of(const PlanPoint& point) {
    return {point.e_m, point.n_m};
}

// Fixes on a pipe of straight legs, with noise of `noise_sd_m`.
inline RunData run_along(const made::Legs& legs, const std::vector<double>& stations,
                         double x_end_m, double sd_m, double noise_sd_m = 0.0,
                         std::uint64_t seed = 1) {
    RunData data;
    data.x_end_m = x_end_m;
    data.length_measured = true;
    made::Noise noise(seed);
    for (const double x_m : stations) {
        Eigen::Vector2d at = vector_of(legs.at(x_m));
        if (noise_sd_m > 0.0)
            at += Eigen::Vector2d(noise.normal(noise_sd_m), noise.normal(noise_sd_m));
        data.positions.push_back(fix_at(x_m, at, sd_m));
        data.positions.back().fix = static_cast<int>(data.positions.size()) - 1;
    }
    return data;
}

// The run's start is known to `start_sd_m` about `start`; its end is not.
inline Problem lone_problem(const RunData& data, double start_sd_m,
                            const Eigen::Vector2d& start = Eigen::Vector2d::Zero()) {
    Problem problem;
    problem.runs = {&data};
    problem.shared_of_run = {alone_index};
    const int size = data.receiver ? Columns::most_shared : Columns::without_offset;
    problem.shared.mean = Eigen::VectorXd::Zero(size);
    problem.shared.mean.head<2>() = start;
    problem.shared.information = Eigen::MatrixXd::Identity(size, size);
    problem.shared.information.diagonal().head<2>().setConstant(1.0 / (start_sd_m * start_sd_m));
    problem.shared.information(4, 4) = 1.0 / (reel_scale_sd * reel_scale_sd);
    return problem;
}

inline State straight_state(const Problem& problem, double heading_rad) {
    return {problem.shared.mean,
            {straight_run(problem.runs[0]->x_end_m, 3.0, stiff_joint_sd_rad, heading_rad)}};
}

}  // namespace sondeline::alignment
