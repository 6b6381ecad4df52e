#include "alignment/robust_loss.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace sondeline::alignment {
namespace {

constexpr double least_tail_ratio = 10.0;
// How far wrong positions lie is not known beforehand; set on invented jobs
// (docs/adjustment-figures.md).
constexpr double least_tail_m = 2.5;
constexpr double seeking_reach_m = 0.5;

// `log_wide` is the logarithm of the wide part at s, `wide_slope` its −2·derivative by s and
// `wide_at_zero` the wide part at s = 0. Logarithms, because both parts underflow for gross errors.
Loss two_parts(double s, double log_wide, double wide_slope, double wide_at_zero) {
    const double log_narrow = std::log1p(-outlier_share) - 0.5 * s;
    const double larger = std::max(log_narrow, log_wide);
    const double narrow = std::exp(log_narrow - larger);
    const double wide = std::exp(log_wide - larger);
    const double sum = narrow + wide;
    return {.rho = -2.0 * (larger + std::log(sum) - std::log(1.0 - outlier_share + wide_at_zero)),
            .weight = (narrow + wide_slope * wide) / sum,
            .outlier_probability = wide / sum,
            .outlier_log_odds = log_wide - log_narrow};
}

}  // namespace

Loss contaminated_position(double s, double tail_ratio) {
    const double slope = 1.0 / (tail_ratio * tail_ratio);
    const double at_zero = outlier_share * slope;
    return two_parts(s, std::log(at_zero) - 0.5 * s * slope, slope, at_zero);
}

double tail_ratio_of(double sd_m) {
    return std::max(least_tail_ratio, least_tail_m / sd_m);
}

Loss contaminated_heading(double s, double sd_rad) {
    const double uniform =
        outlier_share * sd_rad * std::sqrt(2.0 * std::numbers::pi) / std::numbers::pi;
    return two_parts(s, std::log(uniform), 0.0, uniform);
}

Loss cauchy(double s, double width) {
    return {.rho = width * std::log1p(s / width),
            .weight = 1.0 / (1.0 + s / width),
            .outlier_probability = 0.0};
}

double seeking_width_of(double sd_m) {
    const double reach = seeking_reach_m / sd_m;
    return std::max(cauchy_width, reach * reach);
}

}  // namespace sondeline::alignment
