// The layers of the map, one function each, from everything known of a job.
#pragma once

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

LayerTable pipe_runs_layer(const AsBuilt& as_built);
LayerTable structures_layer(const AsBuilt& as_built);
LayerTable fixes_layer(const AsBuilt& as_built);
LayerTable stations_layer(const AsBuilt& as_built);
LayerTable bellies_layer(const AsBuilt& as_built);
LayerTable observations_layer(const AsBuilt& as_built);
LayerTable stretches_layer(const AsBuilt& as_built);
LayerTable records_check_layer(const AsBuilt& as_built);
LayerTable quantities_layer(const AsBuilt& as_built);
LayerTable replacements_layer(const AsBuilt& as_built);
LayerTable load_test_layer(const AsBuilt& as_built);
LayerTable drops_layer(const AsBuilt& as_built);
LayerTable footage_layer(const AsBuilt& as_built);
LayerTable findings_layer(const AsBuilt& as_built);

// All of them, in the order in which they stand in the map.
std::vector<LayerTable> all_layers(const AsBuilt& as_built);

}  // namespace sondeline
