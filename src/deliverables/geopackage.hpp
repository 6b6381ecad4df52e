// Layers become an OGC GeoPackage 1.3 with field descriptions and lineage.
#pragma once

#include <span>

#include "sondeline/survey.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

struct GeopackageText {
    std::string title;
    std::string lineage_json;  // inputs with their SHA-256, and our version
    std::string timestamp;     // ISO 8601 with milliseconds and Z; the same input gives the same
};

// Writes a new file; throws OutputError when that fails. All spatial layers are in `frame.crs`; a
// local frame is written as the undefined Cartesian system, srs_id -1.
void write_geopackage(const std::filesystem::path& file, const LocalFrame& frame,
                      std::span<const LayerTable> layers, const GeopackageText& words);

}  // namespace sondeline
