// What grading says of slopes where one receiver read the depths of several runs.
#pragma once

#include "bench/grade_power.hpp"

namespace bench {

// Prints how often the bounds of slopes cover, on sites of five runs each.
void print_sites(const SagCase& each, const Seeds& seeds);

}  // namespace bench
