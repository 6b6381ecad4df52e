// Whether fixes scatter as their stated accuracy says, by groups of equal stated accuracy.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

struct AccuracyGroup {
    double stated_m = 0.0;         // one standard deviation, as stated
    int fixes = 0;                 // good ones that were judged
    double variance_factor = 1.0;  // (8 + Σs)/(8 + 0.953·n_eff): drawn to 1 where fixes are few
    double scatter = 1.0;          // √(Σs/(0.953·n_eff)): seen over stated, undrawn
};

// Judges all fixes at the network's present state, smallest stated accuracy first. Fixes further
// off than 99 % of good ones do not count, and the factor allows for their being left out (trimmed
// variance). What the fit itself absorbs is taken off the number of observations.
std::vector<AccuracyGroup> judged_accuracies(const Network& network);

// Puts each group's factor on its fixes. True when any changes a variance by more than a third or
// so, which calls for another look at the bends.
bool use_accuracies(const std::vector<AccuracyGroup>& groups, NetworkData& data);

// Multiplies the variance in use of every fix.
void allow_for_shared_errors(NetworkData& data, double factor);

// Turns every fix's reading error along the line as it now lies; factors in use stay.
void orient_reading_errors(const Network& network, NetworkData& data);

}  // namespace sondeline::alignment
