// How long the sticks are that drains and small sewers are laid of.
#pragma once

#include <string>
#include <vector>

namespace sondeline {

// The usual stick lengths within `share` of a spacing, shortest first, in words: "8 ft (2.44 m)".
// Common practice, no source, but for cast iron soil pipe: ASTM A74 and CISPI 301 make it 5 and
// 10 ft long (from memory).
std::vector<std::string> usual_sticks_near(double spacing_m, double share);

}  // namespace sondeline
