#include "grade/tail_bound.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "grade/normal.hpp"

namespace sondeline::grade {

namespace {

// Gauss–Legendre, eight points on (−1, 1): Abramowitz & Stegun table 25.4.
struct Node {
    double at = 0.0;
    double weight = 0.0;
};
constexpr std::array kNodes = {
    Node{0.183434642495650, 0.362683783378362}, Node{0.525532409916329, 0.313706645877887},
    Node{0.796666477413627, 0.222381034453374}, Node{0.960289856497536, 0.101228536290376}};

double integrand(double h, double x) {
    const double one_and = 1.0 + x * x;
    return std::exp(-0.5 * h * h * one_and) / one_and;
}

double chance(double threshold, const std::vector<double>& slopes) {
    double sum = normal_cdf(-threshold);
    // P(Z₁ > h, Z₂ ≤ h) = 2T(h, √((1 − ρ)/(1 + ρ))).
    for (const double a : slopes) sum += 2.0 * owens_t(threshold, a);
    return sum;
}

}  // namespace

double owens_t(double h, double a) {
    const double half = 0.5 * a;
    double sum = 0.0;
    for (const Node& node : kNodes) {
        sum += node.weight *
               (integrand(h, half * (1.0 + node.at)) + integrand(h, half * (1.0 - node.at)));
    }
    return half * sum / (2.0 * std::numbers::pi);
}

double threshold_of_largest(double share, const std::vector<double>& correlations) {
    std::vector<double> slopes;
    for (const double correlation : correlations) {
        const double r = std::clamp(correlation, 0.0, 1.0);
        slopes.push_back(std::sqrt((1.0 - r) / (1.0 + r)));
    }
    double low = normal_quantile(1.0 - share);
    double high = normal_quantile(1.0 - share / static_cast<double>(correlations.size() + 1));
    constexpr double enough = 1e-4;
    while (high - low > enough) {
        const double middle = 0.5 * (low + high);
        (chance(middle, slopes) > share ? low : high) = middle;
    }
    return high;
}

}  // namespace sondeline::grade
