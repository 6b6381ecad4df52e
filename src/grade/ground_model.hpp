// The known ground of a run against an even fall.
#pragma once

#include <Eigen/Core>

#include "grade/ground.hpp"

namespace sondeline::grade {

// Q = V⁻¹ − V⁻¹X(XᵀV⁻¹X + P)⁻¹XᵀV⁻¹ and Qy of the known points, as in vertical_model.hpp: level and
// fall, the fall 5 % at one standard deviation (yards; common practice, no source), the ground
// wandering about them as in ground.hpp. ½yᵀQy is what the heights speak against themselves, in ln.
struct GroundModel {
    Eigen::MatrixXd q;
    Eigen::VectorXd qy;
    double half_squares = 0.0;  // ½yᵀQy
};

// One point or more.
GroundModel solve_ground(const std::vector<GroundPoint>& known);

}  // namespace sondeline::grade
