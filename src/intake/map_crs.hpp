// The coordinate system of the map, as far as reading the tables needs it.
#pragma once

#include <optional>
#include <string>

#include <ogr_spatialref.h>

namespace sondeline {

// Of `EPSG:32617` (case does not matter); empty when the text is not of that form or the code is
// not in PROJ's database. Never looks anywhere else.
std::optional<OGRSpatialReference> epsg_crs(const std::string& text);

}  // namespace sondeline
