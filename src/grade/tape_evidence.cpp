#include "grade/tape_evidence.hpp"

#include <algorithm>

#include "grade/hypotheses.hpp"

namespace sondeline::grade {

BesideTapes beside_tapes(const RunRows& run) {
    RunRows others = run;
    std::erase_if(others.rows, is_tape);
    const Screening screening = screen_rows(others);
    return {screening.used, screening.scatter};
}

double log_evidence_with_tapes(const RunRows& run, const BesideTapes& beside,
                               const std::vector<Row>& rows) {
    std::vector<Row> used = beside.rows;
    std::ranges::copy_if(rows, std::back_inserter(used), is_tape);
    std::ranges::stable_sort(used, {}, &Row::station_m);
    return weigh_evidence(run, used, beside.scatter).log_evidence_of_all;
}

}  // namespace sondeline::grade
