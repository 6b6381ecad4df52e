// The page for the client and the office.
#pragma once

#include <filesystem>
#include <span>
#include <string>

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

// One HTML page that opens on the answer, with its style and script inside and nothing from the
// network. Clips are named by their address seen from `out`, the folder the page will stand in.
std::string report_html(const AsBuilt& as_built, std::span<const LayerTable> layers,
                        const std::filesystem::path& out);

// The same for paper, to be made a PDF of.
std::string report_for_paper(const AsBuilt& as_built, std::span<const LayerTable> layers);

}  // namespace sondeline
