// Residual of a fix: where the line is at the fix's station less where the fix puts it, whitened by
// the fix's covariance W = L⁻¹, C = L·Lᵀ. A receiver's offset o is added to the line: ∂r/∂o = W.
#pragma once

#include "alignment/run_data.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

struct PositionResidual {
    const PositionDatum& datum;

    Eigen::Vector2d value(const RunLine& line) const {
        Eigen::Vector2d off = line.at(datum.x_m) - datum.at_m;
        if (datum.shares_offset) off += line.receiver_offset_m();
        return datum.whitening * off;
    }

    // Overwrites two columns with the derivatives of both components, times `factor`.
    void derivative(const RunLine& line, double factor, Eigen::Ref<Eigen::VectorXd> first,
                    Eigen::Ref<Eigen::VectorXd> second) const {
        line.derivative(datum.x_m, first, second);
        if (datum.shares_offset) {
            const int at = line.columns().offset();
            first(at) = second(at + 1) = 1.0;
        }
        const Eigen::Matrix2d w = factor * datum.whitening;
        second = w(1, 0) * first + w(1, 1) * second;
        first *= w(0, 0);
    }
};

}  // namespace sondeline::alignment
