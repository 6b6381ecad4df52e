// What is said of ponds, bellies and dips.
#pragma once

#include <string>

#include "grade/bellies.hpp"

namespace sondeline::grade {

// "ponds at least 1 cm with probability 0.97, deepest 1.2 in (0.6 to 1.9)…"
std::string pond_words(const Pond& pond, LengthUnit unit);

// Of a pond that is less than probable enough to be reported as a belly.
void find_suspected(const AlignedRun& run, const Analysis& analysis, const Pond& pond,
                    Findings& findings);

void find_belly(const AlignedRun& run, const Belly& belly, LengthUnit unit, Findings& findings);

// A dip that stands out of the scatter but is not reported as a belly.
void find_dip(const AlignedRun& run, const Analysis& analysis, const std::vector<Pond>& reported,
              Findings& findings);

}  // namespace sondeline::grade
