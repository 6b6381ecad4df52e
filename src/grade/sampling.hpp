// Invert profiles drawn from what the data leave possible; every published figure is read off them.
#pragma once

#include <string_view>

#include "grade/hypotheses.hpp"

namespace sondeline::grade {

// Even stations from 0 to the run's end, 0.1 m apart, wider only on runs longer than 60 m, where
// there are 600 steps.
std::vector<double> profile_stations(double length_m);

struct Samples {
    std::vector<double> stations_m;
    Eigen::MatrixXd
        z_m;  // a row per station, a column per sample; without the bedding's unevenness
    Eigen::VectorXd ground_grade;  // per sample: fall of ground assumed level, rise per metre
    double middle_m = 0.0;         // station at which that ground is at height 0
    // V⁻¹(y − what the sample says of the rows): a row per row used, a column per sample.
    Eigen::MatrixXd pull;

    Eigen::Index count() const { return z_m.cols(); }
};

inline constexpr int kSamples = 1000;

// What the rows may mean, and how likely that is.
struct Reading {
    const Evidence* evidence = nullptr;
    double probability = 1.0;
};

// Hypotheses of all readings by their weight (systematic sampling), the sag's depth and the
// coefficients from their distributions. One reading at least, all of as many rows; their
// probabilities sum to 1. `name` seeds the generator.
Samples sample_profiles(const RunRows& run, const std::vector<Reading>& readings,
                        std::string_view name);

// Value below which the share `p` of the values lies, interpolated between neighbours; values are
// reordered. NaN-free input of at least one value.
double quantile(std::vector<double>& values, double p);

// Median with 2.5 and 97.5 %.
Bounded median_and_bounds(std::vector<double>& values);

Estimate mean_and_sd(const std::vector<double>& values);

}  // namespace sondeline::grade
