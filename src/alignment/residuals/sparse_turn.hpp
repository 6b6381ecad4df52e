// Penalty under which a few large turns are cheaper than many small ones: 2 ln(1 + ψ²/t²). With it
// the closely jointed chain gathers its turning into bends.
#pragma once

#include <cmath>

namespace sondeline::alignment {

struct SparseTurn {
    double scale_rad = 0.1;  // t

    double cost(double turn_rad) const {
        return 2.0 * std::log1p(turn_rad * turn_rad / (scale_rad * scale_rad));
    }
    // Of the quadratic with the same slope here, which keeps the normal matrix positive.
    double information(double turn_rad) const {
        return 2.0 / (scale_rad * scale_rad + turn_rad * turn_rad);
    }
    double gradient(double turn_rad) const { return turn_rad * information(turn_rad); }
};

}  // namespace sondeline::alignment
