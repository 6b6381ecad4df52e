// Residual of a taped distance between two structures: (‖S − R‖ − d)/σ, with d in map metres.
#pragma once

#include <Eigen/Core>

namespace sondeline::alignment {

struct TieTerm {
    int point = 0;  // indices into NetworkData::nodes
    int reference = 0;
    double distance_m = 0.0;
    double sd_m = 0.01;
};

struct TieResidual {
    const TieTerm& tie;

    double value(const Eigen::Vector2d& point_m, const Eigen::Vector2d& reference_m) const {
        return ((point_m - reference_m).norm() - tie.distance_m) / tie.sd_m;
    }

    // By the point; by the reference it is the opposite. Nil where both coincide, for there the
    // distance has no direction.
    Eigen::Vector2d derivative(const Eigen::Vector2d& point_m,
                               const Eigen::Vector2d& reference_m) const {
        const Eigen::Vector2d apart = point_m - reference_m;
        const double length = apart.norm();
        if (length <= 0.0) return Eigen::Vector2d::Zero();
        return apart / (length * tie.sd_m);
    }
};

}  // namespace sondeline::alignment
