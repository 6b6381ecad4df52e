// The sections of the page, in HTML.
#pragma once

#include <string>

#include "sondeline/deliverables.hpp"

#include "deliverables/layer_table.hpp"

namespace sondeline {

std::string title_block(const AsBuilt& as_built);
std::string in_short(const AsBuilt& as_built);
std::string runs_table(const AsBuilt& as_built);
std::string plan_section(const AsBuilt& as_built);
std::string profile_sections(const AsBuilt& as_built);
std::string records_section(const AsBuilt& as_built);
std::string load_test_section(const AsBuilt& as_built);
std::string findings_section(const AsBuilt& as_built);
std::string method_section(const AsBuilt& as_built);
std::string cautions_section();

}  // namespace sondeline
