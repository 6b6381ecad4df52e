// What grading says of sags: how often of one that is there, how often of none.
#pragma once

#include "bench/known_run.hpp"

namespace bench {

struct SagCase {
    made::Survey survey;
    sondeline::GradeOptions options;
    Half half = Half::imagined;
};

// A belly, a suspected belly, a dip or a depth too deep to be believed, where there is none: a
// finding that names a depth which is off is none of them.
bool false_alarm(const sondeline::Profiles& profiles, const std::vector<std::string>& gross);

// Prints how often sags of the stated size, and of other sizes, are told, wherever they lie.
void print_power(const SagCase& each, const Seeds& seeds);

}  // namespace bench
