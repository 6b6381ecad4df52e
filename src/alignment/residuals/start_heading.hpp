// Residual of the directed heading in which the pipe leaves its start structure.
#pragma once

#include <cmath>
#include <numbers>

#include "alignment/run_data.hpp"
#include "alignment/run_model.hpp"

namespace sondeline::alignment {

struct StartHeadingResidual {
    const StartHeading& datum;

    double value(const RunModel& model) const {
        return std::remainder(model.heading0_rad - datum.heading_rad, 2.0 * std::numbers::pi) /
               datum.sd_rad;
    }

    // By heading0; all other derivatives are nil.
    double derivative() const { return 1.0 / datum.sd_rad; }
};

}  // namespace sondeline::alignment
