// Where a run's grade may break and where it may sag, and how far the data speak for each.
#pragma once

#include <array>

#include "grade/screening.hpp"

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

// A break of grade that could be there. q_b = Q·b, divisor = 1/κ² + bᵀQb.
struct BreakPlace {
    double station_m = 0.0;
    Eigen::VectorXd in_rows;  // b
    Eigen::VectorXd q_b;
    double divisor = 1.0;
    double b_qy = 0.0;
};

// The same products for one sag once a break is in the model.
struct SagProducts {
    double a = 0.0;
    double m = 0.0;
    double prior_sd_m = kSagSd_m;
};

struct Evidence {
    VerticalModel model;         // with level, grade and what was found beyond doubt
    std::vector<Trend> certain;  // the breaks and sags among the model's trends
    std::vector<BreakPlace> breaks;
    std::vector<SagPlace> sags;
    // Probability of each pair: row 0 is no break, column 0 is no sag. Sums to 1.
    Eigen::MatrixXd probability;
    // ln of the evidence of all pairs together, while nothing was certain.
    double log_evidence_of_all = 0.0;
    double p_break = 0.0;
    double p_sag = 0.0;
    double prior_break = 0.0;
    double prior_sag = 0.0;
};

// Of a place in `sags` under a row of `probability`; zero where the data do not support it.
struct Pair {
    std::size_t break_row = 0;  // 0: no break
    std::size_t sag = 0;
};
SagProducts sag_products(const Evidence& evidence, const Pair& pair);

// Half-normal prior of a sag's depth times its likelihood: a normal cut at 0.
struct SagDepth {
    double mean_m = 0.0;
    double sd_m = 0.0;
};
SagDepth sag_depth(const SagProducts& products);

// ln of the Bayes factor of a sag against none: ln 2 + ½ln(τ²/s²) + μ²/(2τ²) + ln Φ(μ/τ), s the sd
// of its prior.
double log_sag_factor(const SagProducts& products);

// Weighs one break at most and one sag at most; what is more likely than not is put into the model
// for good and the search repeated, kept only when a further one is then also more likely than not,
// at most four times. P(break) = 1 − e^{−0.02 L}, P(sag) = 1 − e^{−0.015 L} before the data.
Evidence weigh_evidence(const RunRows& run, const std::vector<Row>& used, double scatter);

// Stations at which the grade breaks with probability above ½, rising.
std::vector<double> likely_breaks_m(const Evidence& evidence);

}  // namespace sondeline::grade
