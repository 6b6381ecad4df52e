// What grading says of water that stands in a sag: how deep, how much, how surely.
#pragma once

#include "bench/grade_power.hpp"

namespace bench {

// Prints how ponds of 3 cm and more are told, whose shores are noted or of which nobody saw
// anything, beside the water that the pipe holds as it lies.
void print_ponds(const SagCase& each, const Seeds& seeds);

}  // namespace bench
