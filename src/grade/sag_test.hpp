// Whether a sag stands out of the scatter of a run's rows, and how surely one would.
#pragma once

#include <optional>

#include "grade/hypotheses.hpp"

namespace sondeline::grade {

// The rows under a grade without the sag that is asked for.
struct SagTest {
    std::vector<Row> rows;
    VerticalModel model;
    Eigen::VectorXd stated_m2;     // variance as stated of rows that scatter, 0 of others
    double scatter = 1.0;          // of the model
    double locator_wander = 0.0;   // of the model
    double squares = 0.0;          // Σ r²/σ² of the rows that scatter
    double freedom = 0.0;          // of those
    std::vector<SagPlace> places;  // those the data support, each once
    // That one of the places stands out by chance has probability 0.04 when each has this one.
    double chance_each = 0.04;
};

// `scatter` is where the search for that of the rows begins. The locator's error wanders as it does
// beside the likeliest sag: with the sag counted in, a long one would hide itself there as well.
SagTest sag_test(const RunRows& run, const std::vector<Row>& used, const std::vector<Trend>& trends,
                 double scatter);
// The same test with a scatter found otherwise.
void solve_at(const RunRows& run, const std::vector<Trend>& trends, double scatter, SagTest& test);

// Qφ, and φᵀ of a place with figures of the rows.
Eigen::VectorXd q_phi(const SagTest& test, const SagPlace& place);
double in_place(const SagPlace& place, const Eigen::VectorXd& rows);

// A sag taken at one place against the scatter that is left when the sag is taken out: with the sag
// counted in, a deep one would hide itself.
struct TestedSag {
    Estimate depth_m;
    double t = 0.0;        // depth over its standard deviation
    double freedom = 1.0;  // of Student's distribution; infinite where known scatter alone counts
    double scatter = 1.0;
};
TestedSag tested_sag(const SagTest& test, const SagPlace& place);

// What t must exceed for a sag to be taken as shown.
double alarm_threshold(const SagTest& test, double freedom);

// The place whose sag exceeds its threshold by most; none where no sag does.
struct StandsOut {
    const SagPlace* place = nullptr;  // one of the test's
    TestedSag sag;
};
std::optional<StandsOut> stands_out_most(const SagTest& test);

}  // namespace sondeline::grade
