// What a processed job says on the terminal, and as JSON for programs.
#pragma once

#include <string>

#include "sondeline/pipeline.hpp"

namespace sondeline::cli {

// Plain text for a terminal of 80 columns: lengths, what the paper said, findings, where the map
// is.
std::string outcome_text(const Outcome& outcome);

// {"schema": "sondeline-outcome/1", …} on one line.
std::string outcome_json(const Outcome& outcome);

// Breaks text at blanks so that no line is longer than `width`; lines after the first start with
// `indent` blanks. Words longer than a line stand alone. Width counts characters, not bytes.
std::string wrapped(const std::string& text, std::size_t indent, std::size_t width = 80);

}  // namespace sondeline::cli
