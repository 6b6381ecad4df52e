// Where a run's grade may break and where it may sag.
#pragma once

#include <array>

#include "grade/vertical_model.hpp"

namespace sondeline::grade {

inline constexpr std::array kSagWidths_m = {1.0, 1.5, 2.0, 3.0, 4.0, 6.0};
inline constexpr double kWidestSag = 0.8;  // of the run's length

// A sag that could be there: a cosine dip `width_m` wide about `centre_m`, its depth half-normal
// with `prior_sd_m` before the data. Each place stands once with kSagSd_m, that of pipes that
// settled a little, and once with kDeepSagSd_m, that of pipes that gave way.
struct SagPlace {
    double centre_m = 0.0;
    double width_m = 0.0;
    double prior_sd_m = kSagSd_m;
    // φ, dip positive, at the rows it touches.
    struct InRow {
        Eigen::Index row = 0;
        double phi = 0.0;
    };
    std::vector<InRow> in_rows;
    // Seen by two depth, tape or level rows, or by still water; else the data say nothing of it and
    // it keeps what was thought before.
    bool supported = false;
    // Products with the model of the evidence: a = φᵀQφ, m = −φᵀQy.
    double a = 0.0;
    double m = 0.0;
};

// Which rows a sag there touches, without a and m.
struct SagAt {
    double centre_m = 0.0;
    double width_m = 0.0;
};
SagPlace sag_place(const SagAt& at, const std::vector<Row>& rows);

// All that are weighed, without a and m; and these under a model, of the places data support.
std::vector<SagPlace> sag_places(double length_m, const std::vector<Row>& rows);
void set_products(const VerticalModel& model, std::vector<SagPlace>& places);

// A break of grade that could be there. q_b = Q·b, divisor = 1/κ² + bᵀQb.
struct BreakPlace {
    double station_m = 0.0;
    Eigen::VectorXd in_rows;  // b
    Eigen::VectorXd q_b;
    double divisor = 1.0;
    double b_qy = 0.0;
};
std::vector<BreakPlace> break_places(double length_m, const std::vector<Row>& rows,
                                     const VerticalModel& model);

// ln of the evidence of a break over none: rank-one update of S = V + XP⁻¹Xᵀ by κ²bbᵀ.
double log_break_factor(const BreakPlace& place);

// The products of one sag, with a break in the model or without.
struct SagProducts {
    double a = 0.0;
    double m = 0.0;
    double prior_sd_m = kSagSd_m;
};

// Half-normal prior of a sag's depth times its likelihood: a normal cut at 0.
struct SagDepth {
    double mean_m = 0.0;
    double sd_m = 0.0;
};
SagDepth sag_depth(const SagProducts& products);

// ln of the Bayes factor of a sag against none: ln 2 + ½ln(τ²/s²) + μ²/(2τ²) + ln Φ(μ/τ), s the sd
// of its prior.
double log_sag_factor(const SagProducts& products);

// Probability before the data that there is any, 0 without places: 1 − e^{−0.02 L} of a break and
// 1 − e^{−0.015 L} of a sag.
double prior_break(double length_m, const std::vector<BreakPlace>& places);
double prior_sag(double length_m, const std::vector<SagPlace>& places);
// ln of each place's share of it.
std::vector<double> log_sag_priors(double p_any, const std::vector<SagPlace>& places);

}  // namespace sondeline::grade
