// Volumes and flows as people write them.
#pragma once

#include <optional>
#include <string_view>

#include "terms/units.hpp"

namespace sondeline {

// Cubic metres of `1000 gal`, `20 L`, `3.8 m3`, `5 ft3`. A bare number is in `bare_unit`, one of
// the same words; with none it is no volume. A US gallon is 3.785411784 L (NIST SP 811).
std::optional<double> parse_volume_m3(std::string_view text, std::string_view bare_unit,
                                      bool decimal_comma);

// Cubic metres per second of `450 gal/day`, `450 gpd`, `8 gal per min`, `8 gpm`, `0.5 L/s`. A bare
// number is in `bare_unit`, one of the same words; with none it is no flow.
std::optional<double> parse_flow_m3_per_s(std::string_view text, std::string_view bare_unit,
                                          bool decimal_comma);

}  // namespace sondeline
