// What grading says of sags: how often of one that is there, how often of none.
#pragma once

#include "grade/made_run.hpp"

namespace bench {

// Seeds up to 999,999 are judged; thresholds are set on those from 1,000,000 on.
struct Seeds {
    int runs = 300;
    int first = 0;
};

struct SagCase {
    made::Survey survey;
    sondeline::GradeOptions options;
};

made::Pipe random_pipe(int seed);

// A belly, a suspected belly, a dip or a depth too deep to be believed, where there is none: a
// finding that names a depth which is off is none of them.
bool false_alarm(const sondeline::Profiles& profiles, const made::Run& run);

// Prints how often sags of the stated size, and of other sizes, are told, wherever they lie.
void print_power(const SagCase& each, const Seeds& seeds);

// "kept" or "MISSED".
const char* verdict(bool kept);

}  // namespace bench
