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

// A value that forgets itself over `memory_m` of pipe.
class Wandering {
  public:
    Wandering(double sd, double memory_m) : sd_(sd), memory_m_(memory_m) {}

    double next(double step_m, Noise& noise) {
        const double kept = std::exp(-step_m / memory_m_);
        value_ = kept * value_ + noise.normal(sd_ * std::sqrt(1.0 - kept * kept));
        return value_;
    }

  private:
    double sd_;
    double memory_m_;
    double value_ = 0.0;
};

// Student's distribution with 4 degrees of freedom, scaled to this standard deviation.
inline double heavy_tailed(double sd, Noise& noise) {
    double chi_square = 0.0;
    for (int i = 0; i < 4; ++i) {
        const double z = noise.normal(1.0);
        chi_square += z * z;
    }
    return sd * noise.normal(1.0) / std::sqrt(chi_square / 4.0) / std::numbers::sqrt2;
}

}  // namespace sondeline::made
