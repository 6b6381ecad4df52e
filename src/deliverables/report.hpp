// The page for the client and the office.
#pragma once

#include <string>

#include "sondeline/deliverables.hpp"

namespace sondeline {

// One self-contained HTML page that opens on the answer: no network, no script.
std::string report_html(const AsBuilt& as_built);

}  // namespace sondeline
