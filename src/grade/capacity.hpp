// Flow in a clean, straight pipe by Manning's formula.
#pragma once

#include <optional>
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

// The depth at which that flow runs evenly down the channel (normal depth), metres; empty where it
// is more than the pipe carries part-full, or the channel does not fall.
std::optional<double> normal_depth_m(Bore bore, const Channel& channel, double flow_l_per_s);

// Full-bore flow and velocity of a run with their 95 % bounds from the slope, and whether the pipe
// then cleans itself (2 ft/s, as in the Ten States Standards); depth and velocity at the design
// flow where one is given; or why they are not given. Where water stands in the run the figures are
// said to be of the rest of it.
std::string capacity_words(const SiteRun& run, const Figure<Estimate>& slope, LengthUnit unit,
                           const std::optional<double>& design_flow_m3_per_s = std::nullopt,
                           bool holds_water = false);

}  // namespace sondeline::grade
