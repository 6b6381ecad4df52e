// What units hold in those of the library, exactly.
#pragma once

#include <numbers>

namespace sondeline {

// NIST SP 811.
inline constexpr double foot_m = 0.3048;
inline constexpr double inch_m = 0.0254;
inline constexpr double m3_per_us_gallon = 3.785411784e-3;
inline constexpr double litres_per_us_gallon = 3.785411784;

inline constexpr double degree_rad = std::numbers::pi / 180.0;

}  // namespace sondeline
