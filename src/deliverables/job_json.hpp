// Everything in the report as data.
#pragma once

#include <nlohmann/json_fwd.hpp>

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

// {"schema": "sondeline-job/1", "site": {…}, "frame": {…}, "runs": [{id, bends, profile, limits}],
//  "load_test": {…}, "layers": {name: [{column: value, …, "geometry": [[x, y, z, m], …]}, …]}}.
// Keys are sorted, figures as in the map.
nlohmann::json job_data(const AsBuilt& as_built, std::span<const LayerTable> layers);

// The same as the file's text. What is no UTF-8 shows the replacement character.
std::string job_json_text(const AsBuilt& as_built, std::span<const LayerTable> layers);

// The job's inputs with their SHA-256 and the program's version, for the map's metadata.
std::string lineage_text(const AsBuilt& as_built);

}  // namespace sondeline
