// The normal distribution, and random numbers that are the same on every machine.
#pragma once

#include <cstdint>
#include <random>
#include <string_view>

namespace sondeline::grade {

double normal_cdf(double z);

// ln Φ(z), accurate far into the lower tail.
double log_normal_cdf(double z);

// Φ⁻¹(p) for 0 < p < 1, to about 1e-16 relative: Wichura, Algorithm AS 241 (PPND16), Applied
// Statistics 37 (1988) 477–484. p outside (0, 1) takes the nearest double inside it.
double normal_quantile(double p);

// Draws that depend on the name given and on nothing else: the Mersenne Twister's output is fixed
// by the C++ standard, its distributions are not, so normals come from normal_quantile.
class Draws {
  public:
    explicit Draws(std::string_view name);
    double uniform();  // in (0, 1)
    double normal();
    // N(mean, sd²) given that it is above 0.
    struct Bell {
        double mean = 0.0;
        double sd = 1.0;
    };
    double normal_above_zero(const Bell& bell);

  private:
    std::mt19937_64 engine_;
};

}  // namespace sondeline::grade
