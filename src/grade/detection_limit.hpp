// The smallest sags that the data of a run would show, in figures and in words.
#pragma once

#include "grade/analysis.hpp"

namespace sondeline::grade {

// Widths of 2, 4 and 6 m up to 0.8 of the run; what is meant by shown stands in sag_test.hpp.
// `slope` (of the fitted grade) tells how deep such a sag ponds.
std::vector<DetectionLimit> detection_limits(const Analysis& analysis,
                                             const std::optional<double>& slope);

// "The smallest sag these data would show 9 times in 10 … is 12 cm (4.7 in) over 4 m …"; says what
// to measure when none would.
std::string limit_words(const Analysis& analysis, const std::vector<DetectionLimit>& limits);

}  // namespace sondeline::grade
