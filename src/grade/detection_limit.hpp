// The smallest sag the data of a run could have shown, and whether they show any.
#pragma once

#include "grade/analysis.hpp"

namespace sondeline::grade {

// A sag is taken as shown when its depth over its standard deviation exceeds the threshold of its
// run: 5 % false alarms among `tests` independent places, Φ⁻¹(1 − 0.05/tests).
double alarm_threshold(double tests);

// 90 % power at that threshold: (t + Φ⁻¹(0.9)) · 1/√a of the places of one width, such that three
// of four show as well; empty where the data support fewer than half of the places. Widths of 2, 4
// and 6 m up to 0.8 of the run. `slope` (of the fitted grade) tells how deep such a sag ponds.
std::vector<DetectionLimit> detection_limits(const Analysis& analysis,
                                             const std::optional<double>& slope);

// "A sag of 12 cm (4.7 in) over 4 m … would have shown here"; says what to measure when none would.
std::string limit_words(const Analysis& analysis, const std::vector<DetectionLimit>& limits);

// The sag that stands out most above the threshold of its run; empty: none does.
struct ShownSag {
    double centre_m = 0.0;
    double width_m = 0.0;
    Estimate depth_m;
};
std::optional<ShownSag> shown_sag(const Analysis& analysis);

}  // namespace sondeline::grade
