// Flow in a clean, straight pipe by Manning's formula.
#pragma once

#include <string>

#include "sondeline/grade.hpp"

#include "grade/circular_section.hpp"

namespace sondeline::grade {

struct ManningFlow {
    double velocity_m_per_s = 0.0;
    double flow_l_per_s = 0.0;
};

struct Channel {
    double slope = 0.0;      // fall per length, not below 0
    double roughness = 0.0;  // Manning's n, s/m^⅓
};

// V = R^⅔ √S / n, Q = V·A.
ManningFlow manning_flow(const WettedSection& section, const Channel& channel);

// Design value for drains of any material (ASCE MOP 60, from memory; 0.009–0.011 for smooth clean
// plastic would promise more).
inline constexpr double kDesignRoughness = 0.013;

// Full-bore flow and velocity of a run with their 95 % bounds from the slope, and whether the pipe
// then cleans itself (2 ft/s, as in the Ten States Standards); or why they are not given.
std::string capacity_words(const SiteRun& run, const Figure<Estimate>& slope);

}  // namespace sondeline::grade
