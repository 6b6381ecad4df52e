// The clocks of a load test: when the water ran, and which levels were read while it did.
#pragma once

#include <string>
#include <vector>

#include "sondeline/intake.hpp"

namespace sondeline {

struct LoadTimes {
    std::optional<double> running_s;  // from each row that says start to the one that says stop
    std::vector<LoadStep> levels;     // rows with a level that may be used, in the table's order
    std::string shares_withheld;      // why levels tell nothing of how the water was shared
    int fillings = 0;                 // how often the water ran
};

// A start that does not come before its stop, levels of one port whose clocks contradict the order
// of their rows, and levels read a minute or more before the start or after the stop are findings
// that name their rows, and are not used; so is a start after the first that no stop follows, and a
// stop of water that was not turned on again. Levels without a clock count as read while the water
// ran. Shares are withheld where the last levels of two ports lie more than ten minutes apart.
LoadTimes times_of_load_test(const Job& job, Findings& findings);

}  // namespace sondeline
