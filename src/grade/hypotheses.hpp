// How far the data speak for each break of grade and each sag that could be there.
#pragma once

#include "grade/places.hpp"
#include "grade/screening.hpp"

namespace sondeline::grade {

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

// Weighs one break at most and one sag at most; what is more likely than not is put into the model
// for good and the search repeated, kept only when a further one is then also more likely than not,
// at most four times. What is known of the locator's wander (locator_wander.hpp)
// is in the model.
Evidence weigh_evidence(const RunRows& run, const std::vector<Row>& used, double scatter);

// Stations at which the grade breaks with probability above ½, rising.
std::vector<double> likely_breaks_m(const Evidence& evidence);

}  // namespace sondeline::grade
