// Slope of a run and of its stretches, against what a table asks, and which way the run falls.
#pragma once

#include "grade/analysis.hpp"
#include "grade/minimum_slope.hpp"

namespace sondeline::grade {

struct Reach {
    double from_m = 0.0;
    double to_m = 0.0;
};

// Fall per length over a reach in the direction of flow, S = (z₁ − z₂)/L, with
// σ_S² = σ²(z₁ − z₂)/L² + (S·σ_L/L)² (Ghilani, Adjustment Computations, error propagation). z is
// the invert with the bedding's unevenness at both ends, as far as the rows tell it (bedding.hpp).
struct Slope {
    Estimate estimate;
    std::vector<double> draws;  // without what is left unsure of bedding and length
    double own_sd = 0.0;        // of those two

    double probability_above(double slope) const;
};
Slope slope_over(const Analysis& analysis, const Reach& reach, double relative_length_sd);

// `meets` from a probability of 0.975 that the slope is at least the minimum, `below` up to 0.025.
SlopeVerdict slope_verdict(double probability_above_minimum);

// Fills slope, fall, stretches; adds findings on what falls short or the wrong way.
void add_slope(const AlignedRun& run, const Analysis& analysis, const GradeOptions& options,
               GradedRun& graded, Findings& findings);

}  // namespace sondeline::grade
