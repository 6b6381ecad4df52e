// Residual of a fix: where the line is at the fix's station less where the fix puts it, whitened by
// the fix's covariance W = L⁻¹, C = L·Lᵀ.
#pragma once

#include "alignment/run_data.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

struct PositionResidual {
    const PositionDatum& datum;

    Eigen::Vector2d value(const RunLine& line) const {
        return datum.whitening * (line.at(datum.x_m) - datum.at_m);
    }

    // Overwrites two columns with the derivatives of both components, times `factor`.
    void derivative(const RunLine& line, double factor, Eigen::Ref<Eigen::VectorXd> first,
                    Eigen::Ref<Eigen::VectorXd> second) const {
        line.derivative(datum.x_m, first, second);
        const Eigen::Matrix2d w = factor * datum.whitening;
        second = w(1, 0) * first + w(1, 1) * second;
        first *= w(0, 0);
    }
};

}  // namespace sondeline::alignment
