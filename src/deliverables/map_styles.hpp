// How the layers look in a desktop GIS.
#pragma once

#include <string>
#include <string_view>

namespace sondeline {

// The style of a spatial layer as a QGIS style document for the table layer_styles; empty for
// layers without one. Green is the uniform colour code's colour of sewers and drains (ANSI Z535.1
// colours).
std::string map_style_qml(std::string_view layer);

}  // namespace sondeline
