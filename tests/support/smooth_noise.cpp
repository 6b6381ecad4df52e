#include "support/smooth_noise.hpp"

#include <cmath>

namespace sondeline::support {

std::uint64_t mixed(std::uint64_t seed, std::uint64_t index) {
    std::uint64_t z = seed + 0x9E3779B97F4A7C15U * (index + 1);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
}

double even_noise(std::uint64_t seed, std::uint64_t index) {
    return static_cast<double>(mixed(seed, index) >> 11) * 0x1.0p-53;
}

double smooth_noise(std::uint64_t seed, double x) {
    const double below = std::floor(x);
    const auto index = static_cast<std::uint64_t>(static_cast<std::int64_t>(below));
    const double share = x - below;
    const double ease = share * share * (3.0 - 2.0 * share);
    const double a = 2.0 * even_noise(seed, index) - 1.0;
    const double b = 2.0 * even_noise(seed, index + 1) - 1.0;
    return a + (b - a) * ease;
}

}  // namespace sondeline::support
