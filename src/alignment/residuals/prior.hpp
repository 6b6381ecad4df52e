// What is known of an unknown before anything is observed: a mean of nought and a spread.
#pragma once

namespace sondeline::alignment {

struct PriorResidual {
    double sd = 1.0;

    double cost(double value) const { return value * value / (sd * sd); }
    double gradient(double value) const { return value / (sd * sd); }  // half the cost's
    double information() const { return 1.0 / (sd * sd); }
};

}  // namespace sondeline::alignment
