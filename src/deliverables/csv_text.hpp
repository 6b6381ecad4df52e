// Text cells of the CSV files.
#pragma once

#include <string>
#include <string_view>

#include "deliverables/layer_table.hpp"

namespace sondeline {

// A field by RFC 4180, quoted where it must be. A text that a spreadsheet would take for a formula
// (it begins with =, +, -, @, tab or carriage return and is no number) gets an apostrophe in front.
std::string csv_field(std::string_view text);

// A layer as CSV with a header line, for quantities.csv. LF line ends.
std::string layer_csv(const LayerTable& layer);

}  // namespace sondeline
