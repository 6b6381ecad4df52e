// Which depths of a run to believe, and how far they scatter.
#pragma once

#include <vector>

#include "grade/vertical_model.hpp"

namespace sondeline::grade {

// A sag that gave way must not look like bad depths.
inline constexpr double kOutlierWander_m = 0.10;

// Scatter is 1 before the data, as surely as so many depths would say it.
inline constexpr double kScatterFreedom = 8.0;

struct Screening {
    std::vector<Row> used;
    // Contradict their neighbours; at most a third of the fixes, and of the pieces of a level.
    std::vector<Row> rejected;
    std::vector<Row> tapes_at_odds;  // contradict the depths: one of the two is wrong
    double scatter = 1.0;            // found variance over stated variance of the depths
};

// Outliers are sought under a loose model (bedding that may wander 10 cm over 1.5 m): under a
// straight line real sags would be thrown out. A row goes while its standardised difference from
// what all others say is the largest and above 3.7, and returns below 3.33. Scatter is
// (8 + Σ r²/σ²)/(8 + degrees of freedom). Rows that cannot be solved are all used, scatter 1.
Screening screen_rows(const RunRows& run);

}  // namespace sondeline::grade
