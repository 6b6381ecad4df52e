#include "intake/map_crs.hpp"

#include "intake/open_dataset.hpp"
#include "intake/text.hpp"

namespace sondeline {

std::optional<OGRSpatialReference> epsg_crs(const std::string& text) {
    const std::string word = lower_case(trim(text));
    const std::string digits = word.starts_with("epsg:") ? word.substr(5) : std::string();
    const bool plain = digits.find_first_not_of("0123456789") == std::string::npos;
    if (digits.empty() || digits.size() > 6 || !plain) return std::nullopt;
    const OgrSilence silence;
    OGRSpatialReference crs;
    if (crs.importFromEPSG(std::stoi(digits)) != OGRERR_NONE) return std::nullopt;
    crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return crs;
}

}  // namespace sondeline
