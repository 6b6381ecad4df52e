#include "grade/student.hpp"

#include <cmath>

#include "grade/normal.hpp"

namespace sondeline::grade {

double student_quantile(double p, double freedom) {
    const double z = normal_quantile(p);
    if (!std::isfinite(freedom)) return z;
    const double u = z * (8.0 * freedom + 3.0) / (8.0 * freedom + 1.0);
    return std::copysign(std::sqrt(freedom * std::expm1(u * u / freedom)), z);
}

// The root s of a scatter is about normal with mean 1 − 1/(4ν) and variance 1/(2ν), independent of
// the effect's own error: effect·s₁ + N(0, 1) > threshold·s₂ (as Abramowitz & Stegun 26.7.10, with
// the second scatter added).
double student_power(double effect, const StudentTest& test) {
    const double quarter = 0.25 / test.freedom;
    const double squares = effect * effect + test.threshold * test.threshold;
    return normal_cdf((effect - test.threshold) * (1.0 - quarter) /
                      std::sqrt(1.0 + 2.0 * quarter * squares));
}

}  // namespace sondeline::grade
