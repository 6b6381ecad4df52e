// What a series of counter readings tells of the head: standing, pushed, drawn back, set to zero.
#pragma once

#include <vector>

#include "sondeline/footage.hpp"

namespace sondeline {

struct CounterEvents {
    std::vector<Hold> holds;
    std::vector<Zeroing> zeroings;
    std::vector<PullBack> pull_backs;
};

// `samples` in time order; their states are set, and a first reading at another value whose state
// is `zero` already is known to follow a setting. `tick` in the counter's unit, `metres_per_count`
// of that unit. Readings are taken as right: whatever is doubtful must be missing already.
CounterEvents find_events(std::vector<CounterSample>& samples, double tick,
                          double metres_per_count);

}  // namespace sondeline
