// Residual of a run's whole scale against that by which its sticks have their known length.
#pragma once

#include "alignment/run_data.hpp"

namespace sondeline::alignment {

struct StickScaleResidual {
    const StickScale& datum;

    // `scale`: logarithms of the run's own scale and of its reel's, summed.
    double value(double scale) const { return (scale - datum.log_scale) / datum.sd; }

    // By either of the two.
    double derivative() const { return 1.0 / datum.sd; }
};

}  // namespace sondeline::alignment
