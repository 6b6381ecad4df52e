// How well the taped inverts of a run go with the depths along it.
#pragma once

#include <vector>

#include "grade/screening.hpp"

namespace sondeline::grade {

// What the screening believes of a run's rows where the tapes have no say.
struct BesideTapes {
    std::vector<Row> rows;
    double scatter = 1.0;
};
BesideTapes beside_tapes(const RunRows& run);

// ln of the evidence of these and the tapes among `rows`, over all the grades, breaks and sags that
// the run may have.
double log_evidence_with_tapes(const RunRows& run, const BesideTapes& beside,
                               const std::vector<Row>& rows);

}  // namespace sondeline::grade
