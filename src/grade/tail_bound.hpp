// How often the largest of many correlated normal figures exceeds a threshold by chance.
#pragma once

#include <vector>

namespace sondeline::grade {

// Owen's T(h, a) = 1/(2π) ∫₀ᵃ e^{−h²(1+x²)/2}/(1+x²) dx for 0 ≤ a ≤ 1 (Owen, Annals of Mathematical
// Statistics 27 (1956) 1075), to about 1e-7.
double owens_t(double h, double a);

// Threshold that the largest of some standard normal figures exceeds with probability `share` at
// most. `correlations` holds one for each figure but the first, with some figure before it; below 0
// counts as 0. By the bound of Hunter and Worsley: P(∪A) ≤ P(A₁) + Σ P(A_k without its
// predecessor), which many figures that nearly repeat each other hardly raise.
double threshold_of_largest(double share, const std::vector<double>& correlations);

}  // namespace sondeline::grade
