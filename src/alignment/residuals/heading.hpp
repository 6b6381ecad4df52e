// Residual of an axial heading: sin(θ̄ − h)/σ. Its square is, up to a constant, minus twice the log
// of an axial von Mises likelihood, so that h and h + π count alike without unwrapping.
#pragma once

#include <cmath>

#include "alignment/run_data.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

struct HeadingResidual {
    const HeadingDatum& datum;

    double value(const RunLine& line) const {
        return std::sin(line.mean_heading_rad(datum.x_m) - datum.heading_rad) / datum.sd_rad;
    }

    void derivative(const RunLine& line, double factor, Eigen::Ref<Eigen::VectorXd> column) const {
        line.mean_heading_derivative(datum.x_m, column);
        column *=
            factor * std::cos(line.mean_heading_rad(datum.x_m) - datum.heading_rad) / datum.sd_rad;
    }
};

}  // namespace sondeline::alignment
