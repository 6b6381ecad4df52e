// What a check on site says on the terminal, and as JSON for programs.
#pragma once

#include <string>

#include "sondeline/service.hpp"

namespace sondeline::cli {

// A line for each run, then what to do in order of worth, at most nine lines of it; 80 columns.
std::string check_text(const SiteCheck& check);

// {"schema": "sondeline-check/1", …} on one line.
std::string check_json(const SiteCheck& check);

// 2 when something is lost if nothing is done; doubts and suggestions alone give 0.
int check_exit_code(const SiteCheck& check);

}  // namespace sondeline::cli
