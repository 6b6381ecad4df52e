// Figures as a technician reads them: in the job's unit, and in the other kind behind it.
#pragma once

#include <string>

#include "sondeline/terms.hpp"

namespace sondeline::grade {

// "19 cm (7.5 in)" in a job in metres, "7.5 in (19 cm)" in one in feet.
std::string job_unit_first(const std::string& metric, const std::string& other, LengthUnit unit);

std::string height_words(double height_m, LengthUnit unit);    // "19 cm (7.5 in)", "7.5 in (19 cm)"
std::string station_words(double station_m, LengthUnit unit);  // "12.4 m (40.7 ft)"
std::string volume_words(double volume_l, LengthUnit unit);    // "1.9 L (0.5 gal)"
// With its bounds: "4 L (0.9 to 10.0), or 1 gal (0.2 to 2.6)", the job's kind of unit first.
std::string volume_words(const Bounded& volume_l, LengthUnit unit);

// "2.08 % (1 in 48; 25 in per 100 ft)"; a rise keeps its sign and has no "1 in".
std::string slope_words(double slope_m_per_m);

Finding run_finding(const RunId& run, Severity severity, std::string what, std::string what_to_do);

}  // namespace sondeline::grade
