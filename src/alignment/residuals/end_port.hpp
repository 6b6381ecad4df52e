// Residual of a run that reaches its end structure: p(x_end) − S_to, within what the port may lie
// off the structure's point.
#pragma once

#include "alignment/run_data.hpp"
#include "alignment/run_line.hpp"

namespace sondeline::alignment {

struct EndPortResidual {
    const RunData& data;

    Eigen::Vector2d value(const RunLine& line, const RunPlace& place) const {
        return (line.at(data.x_end_m) - place.to_m) / data.port_sd_to_m;
    }

    void derivative(const RunLine& line, Eigen::Ref<Eigen::VectorXd> east,
                    Eigen::Ref<Eigen::VectorXd> north) const {
        line.derivative(data.x_end_m, east, north);
        const int to = line.columns().to();
        east(to) -= 1.0;
        north(to + 1) -= 1.0;
        east /= data.port_sd_to_m;
        north /= data.port_sd_to_m;
    }
};

}  // namespace sondeline::alignment
