// Structures typed as a tank that are used as a box, and the reverse.
#pragma once

#include "sondeline/survey.hpp"

namespace sondeline {

// One finding for each structure whose kind its runs or its capacity contradict: a tank that an
// effluent line comes into and two laterals or more leave, a box that holds as much as a tank.
// Nothing is changed.
void tell_doubted_structures(const Job& job, Findings& findings);

}  // namespace sondeline
