// What the rows tell of the bedding's unevenness f, which the samples leave out: at a taped invert
// it is known almost as well as the tape, away from rows not at all.
#pragma once

#include "grade/analysis.hpp"

namespace sondeline::grade {

struct Unevenness {
    Eigen::VectorXd mean_m;  // of each sample, given its trends and all rows
    double sd_m = 0.0;       // left about that mean
};

// f at a station, or the difference of f at two. Given the trends, f and the rows y are jointly
// normal: with k their covariance and k₀ the variance of f, E f = kᵀV⁻¹(y − Xβ) and
// var f = k₀ − kᵀV⁻¹k (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006,
// eq. 2.25 and 2.26). `analysis.samples` must be there.
struct UnevenAt {
    double station_m = 0.0;
    std::optional<double> less_at_m;
};
Unevenness unevenness(const Analysis& analysis, const UnevenAt& at);

}  // namespace sondeline::grade
