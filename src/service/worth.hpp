// What to do first on site.
#pragma once

#include "sondeline/terms.hpp"

namespace sondeline {

// Problems and cautions, each once, by what is lost if nothing is done: a run's length, footage or
// a row, a contradiction, then doubts.
Findings worth_telling(Findings findings);

// One line for each thing to do: what is wrong and how it is mended, or, where several findings ask
// for the same, what to do and their places. Suggestions come between what is lost and doubts.
std::vector<std::string> in_order_of_worth(const Findings& findings,
                                           const std::vector<std::string>& suggestions,
                                           LengthUnit unit);

}  // namespace sondeline
