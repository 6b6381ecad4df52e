// Student's distribution, for figures whose own scatter was found from few rows.
#pragma once

namespace sondeline::grade {

// Value that Student's t with `freedom` degrees of freedom, 1 or more, stays below with probability
// p. By Wallace's approximation (Annals of Mathematical Statistics 30 (1959) 1121), to 0.5 % for
// 8 degrees and more and p from 0.5 to 0.9999; the normal quantile where freedom is infinite.
double student_quantile(double p, double freedom);

// Probability that t of an effect of `effect` standard deviations, stated from one scatter and
// tested by another, each of `freedom` degrees, exceeds `threshold`.
struct StudentTest {
    double threshold = 0.0;
    double freedom = 0.0;
};
double student_power(double effect, const StudentTest& test);

}  // namespace sondeline::grade
