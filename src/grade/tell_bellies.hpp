// What is said of ponds, bellies and dips.
#pragma once

#include <string>

#include "grade/bellies.hpp"

namespace sondeline::grade {

// "ponds at least 1 cm with probability 0.97, deepest 1.2 in (0.6 to 1.9)…"
std::string pond_words(const Pond& pond, LengthUnit unit);

// Of a pond that is less than probable enough to be reported as a belly, or that rests on the sag
// `carried` by one depth alone; null: on none.
void find_suspected(const AlignedRun& run, const Analysis& analysis, const Pond& pond,
                    const ShownSag* carried, Findings& findings);

void find_belly(const AlignedRun& run, const Belly& belly, LengthUnit unit, Findings& findings);

// That one depth alone carries a sag, or nothing.
std::string carried_words(const Analysis& analysis, const ShownSag& sag);

// Dips that stand out of the scatter but are not reported as ponds.
void find_dips(const AlignedRun& run, const Analysis& analysis, const std::vector<Pond>& reported,
               Findings& findings);

}  // namespace sondeline::grade
