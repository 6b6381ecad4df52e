// Losses on a squared, standardised residual s. Each is −2 ln of a likelihood, up to a constant
// that makes ρ(0) = 0, so that scores of different models compare.
//
// Contaminated normal: a share of `outlier_share` of the observations has a far wider spread. With
// d dimensions and a spread k times as wide, c = ε·k^−d:
//   ρ(s) = −2 ln{[(1−ε)e^(−s/2) + c·e^(−s/2k²)] / (1−ε+c)}
// For an axial heading the second part is uniform over the half circle.
#pragma once

namespace sondeline::alignment {

inline constexpr double outlier_share = 0.05;

struct Loss {
    double rho = 0.0;
    double weight = 1.0;               // dρ/ds
    double outlier_probability = 0.0;  // share P of the wide part in the likelihood at s
    double outlier_log_odds = 0.0;     // ln P/(1 − P), where P is not told apart from 0 or 1
};

// Position fixes, two dimensions; `tail_ratio` is k > 1.
Loss contaminated_position(double s, double tail_ratio);

// Spread of the wide part of a fix with standard deviation `sd_m`, over sd_m: at least 2.5 m wide.
double tail_ratio_of(double sd_m);

// Axial headings, one dimension, of standard deviation `sd_rad`.
Loss contaminated_heading(double s, double sd_rad);

// c ln(1 + s/c): never lets go of a fix, used while the shape is still being sought. `width` is c.
inline constexpr double cauchy_width = 4.0;
Loss cauchy(double s, double width = cauchy_width);

// Width for a position fix of standard deviation `sd_m`: while the shape is sought a fine fix may
// be half a metre off before its hold weakens, however good it is stated to be.
double seeking_width_of(double sd_m);

}  // namespace sondeline::alignment
