// Measuring noise from a fixed seed, the same on every machine.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace sondeline::made {

// SplitMix64 (Steele, Lea and Flood 2014) and the Box-Muller transform.
class Noise {
  public:
    explicit Noise(std::uint64_t seed) : state_(seed) {}

    double uniform() {
        state_ += 0x9E3779B97F4A7C15U;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
        return (static_cast<double>((z ^ (z >> 31U)) >> 11U) + 0.5) / 9007199254740992.0;
    }

    double normal(double sd) {
        const double radius = std::sqrt(-2.0 * std::log(uniform()));
        return sd * radius * std::cos(2.0 * std::numbers::pi * uniform());
    }

  private:
    std::uint64_t state_;
};

}  // namespace sondeline::made
