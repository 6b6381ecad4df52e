// The same lines for other programs: the web, globe viewers, CAD.
#pragma once

#include <filesystem>
#include <span>

#include "sondeline/survey.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

// RFC 7946: runs, structures, bellies and observations in one feature collection, WGS 84 longitude
// and latitude with seven decimals (about a centimetre). Positions carry no third coordinate: the
// RFC counts it from the ellipsoid, which no height of a job does; inverts stand in the properties.
// A run without a place keeps its feature with a null geometry. Nothing may be asked of a local
// frame. Throws OutputError.
void write_geojson(const std::filesystem::path& file, const LocalFrame& frame,
                   std::span<const LayerTable> layers);

// KML 2.2: the runs drawn on the ground, structures and bellies likewise, and, switched off at
// first, the runs at their depth below it where the depth is known all along. Throws OutputError.
void write_kml(const std::filesystem::path& file, const LocalFrame& frame,
               std::span<const LayerTable> layers);

// DXF of AutoCAD 2004 (AC1018): layers by the pattern of the US National CAD Standard, true 3D
// polylines, a block for structures, text for stations and inverts. All three coordinates are in
// the unit of the map, which $INSUNITS states: metres, or feet. Throws OutputError.
void write_dxf(const std::filesystem::path& file, const Site& site,
               std::span<const LayerTable> layers);

// Why a local job has no file for the web and the globe; empty when it has.
Findings exchange_findings(const LocalFrame& frame);

}  // namespace sondeline
