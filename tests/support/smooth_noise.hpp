// Repeatable randomness as a function of a seed and a place, so that a picture depends on where the
// head is and not on what was drawn before.
#pragma once

#include <cstdint>

namespace sondeline::support {

// A well mixed number of two others (the finaliser of splitmix64; Steele, Lea and Flood, "Fast
// splittable pseudorandom number generators", OOPSLA 2014).
std::uint64_t mixed(std::uint64_t seed, std::uint64_t index);

// Even in [0, 1).
double even_noise(std::uint64_t seed, std::uint64_t index);

// Smooth in x, in [-1, 1], with one independent value at every whole x.
double smooth_noise(std::uint64_t seed, double x);

}  // namespace sondeline::support
