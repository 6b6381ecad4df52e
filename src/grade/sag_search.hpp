// The sags that stand out of the scatter of a run's rows.
#pragma once

#include <optional>

#include "grade/sag_test.hpp"

namespace sondeline::grade {

struct ShownSag {
    double from_m() const { return centre_m - width_m / 2.0; }
    double to_m() const { return centre_m + width_m / 2.0; }

    double centre_m = 0.0;
    double width_m = 0.0;
    Estimate depth_m;
    // The row without which the others would not show the sag even 1 time in 20: that depth may as
    // well be bad. Index into the rows used; empty: no single depth carries it.
    std::optional<std::size_t> carried_by;
};

struct SagSearch {
    // Of one sag more, under the grade with the breaks that are likely and no sag.
    SagTest test;
    std::vector<ShownSag> shown;  // four at most, what stands out most first
};

// What stands out most goes into the model, so that neither a second sag nor a bad depth elsewhere
// hides behind it, and the search is repeated.
SagSearch search_sags(const RunRows& run, const std::vector<Row>& used, const Evidence& evidence,
                      double scatter);

}  // namespace sondeline::grade
