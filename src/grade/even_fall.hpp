// What a run falls from its start to its end on one even grade through everything.
#pragma once

#include "grade/screening.hpp"

namespace sondeline::grade {

struct FallBy {
    const std::vector<Row>& rows;  // those believed
    double scatter = 1.0;
};

// In the direction of the push, so that a rise is negative; empty with fewer than two heights.
std::optional<Estimate> even_fall_m(const RunRows& run, const FallBy& by);

}  // namespace sondeline::grade
