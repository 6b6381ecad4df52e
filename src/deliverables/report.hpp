// The page for the client and the office.
#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "sondeline/deliverables.hpp"

namespace sondeline {

// One self-contained HTML page: no network, no script needed to read it. `data` is job_data() of
// the same job, so that the page shows the figures of the map.
std::string report_html(const AsBuilt& as_built, const nlohmann::json& data);

}  // namespace sondeline
