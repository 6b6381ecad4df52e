#include "grade/normal.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace sondeline::grade {

namespace {

using Coefficients = std::array<double, 8>;  // of rising powers

double polynomial(const Coefficients& c, double x) {
    double sum = 0.0;
    for (auto it = c.rbegin(); it != c.rend(); ++it) sum = sum * x + *it;
    return sum;
}

constexpr Coefficients kMiddleTop = {3.3871328727963666080e0, 1.3314166789178437745e2,
                                     1.9715909503065514427e3, 1.3731693765509461125e4,
                                     4.5921953931549871457e4, 6.7265770927008700853e4,
                                     3.3430575583588128105e4, 2.5090809287301226727e3};
constexpr Coefficients kMiddleBottom = {1.0,
                                        4.2313330701600911252e1,
                                        6.8718700749205790830e2,
                                        5.3941960214247511077e3,
                                        2.1213794301586595867e4,
                                        3.9307895800092710610e4,
                                        2.8729085735721942674e4,
                                        5.2264952788528545610e3};
constexpr Coefficients kTailTop = {1.42343711074968357734e0,  4.63033784615654529590e0,
                                   5.76949722146069140550e0,  3.64784832476320460504e0,
                                   1.27045825245236838258e0,  2.41780725177450611770e-1,
                                   2.27238449892691845833e-2, 7.74545014278341407640e-4};
constexpr Coefficients kTailBottom = {1.0,
                                      2.05319162663775882187e0,
                                      1.67638483018380384940e0,
                                      6.89767334985100004550e-1,
                                      1.48103976427480074590e-1,
                                      1.51986665636164571966e-2,
                                      5.47593808499534494600e-4,
                                      1.05075007164441684324e-9};
constexpr Coefficients kFarTop = {6.65790464350110377720e0,  5.46378491116411436990e0,
                                  1.78482653991729133580e0,  2.96560571828504891230e-1,
                                  2.65321895265761230930e-2, 1.24266094738807843860e-3,
                                  2.71155556874348757815e-5, 2.01033439929228813265e-7};
constexpr Coefficients kFarBottom = {1.0,
                                     5.99832206555887937690e-1,
                                     1.36929880922735805310e-1,
                                     1.48753612908506148525e-2,
                                     7.86869131145613259100e-4,
                                     1.84631831751005468180e-5,
                                     1.42151175831644588870e-7,
                                     2.04426310338993978564e-15};

// FNV-1a, 64 bits.
std::uint64_t hash(std::string_view name) {
    std::uint64_t value = 14695981039346656037ULL;
    for (const char c : name) {
        value ^= static_cast<unsigned char>(c);
        value *= 1099511628211ULL;
    }
    return value;
}

}  // namespace

double normal_cdf(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double log_normal_cdf(double z) {
    if (z > -30.0) return std::log(normal_cdf(z));
    // Φ(z) = φ(z)/|z| · (1 − 1/z² + …); the next term is below 4e-6 here.
    return -0.5 * z * z - std::log(-z) - 0.5 * std::log(2.0 * std::numbers::pi) - 1.0 / (z * z);
}

double normal_quantile(double p) {
    constexpr double kSmallest = std::numeric_limits<double>::min();
    p = std::clamp(p, kSmallest, 1.0 - std::numeric_limits<double>::epsilon() / 2.0);
    const double q = p - 0.5;
    if (std::abs(q) <= 0.425) {
        const double r = 0.180625 - q * q;
        return q * polynomial(kMiddleTop, r) / polynomial(kMiddleBottom, r);
    }
    const double r = std::sqrt(-std::log(q < 0.0 ? p : 1.0 - p));
    const double size = r <= 5.0 ? polynomial(kTailTop, r - 1.6) / polynomial(kTailBottom, r - 1.6)
                                 : polynomial(kFarTop, r - 5.0) / polynomial(kFarBottom, r - 5.0);
    return q < 0.0 ? -size : size;
}

Draws::Draws(std::string_view name) : engine_(hash(name)) {}

double Draws::uniform() {
    // 53 random bits, moved half a step off zero.
    return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1.0p-53;
}

double Draws::normal() {
    return normal_quantile(uniform());
}

double Draws::normal_above_zero(const Bell& bell) {
    // P(x > a | x > 0) = Φ((mean − a)/sd)/Φ(mean/sd); solved in that tail, so that a mean far below
    // zero keeps its digits.
    const double tail = uniform() * normal_cdf(bell.mean / bell.sd);
    return std::max(0.0, bell.mean - bell.sd * normal_quantile(tail));
}

}  // namespace sondeline::grade
