// What a processed job says on the terminal, and as JSON for programs.
#pragma once

#include <string>

#include "sondeline/pipeline.hpp"

#include "cli/columns.hpp"

namespace sondeline::cli {

// Plain text for a terminal of 80 columns: lengths, what the paper said, findings, where the map
// is.
std::string outcome_text(const Outcome& outcome);

// A finding with its place and what to do, its lines set in.
std::string finding_text(const Finding& finding, LengthUnit unit);

// {"severity": …, "where": {…}, "what": …, "what_to_do": …}
std::string finding_json_text(const Finding& finding);

// The end of a day of several jobs: a line for each, and how many went well.
std::string day_text(const std::vector<Outcome>& outcomes);

// {"schema": "sondeline-outcome/1", …} on one line.
std::string outcome_json(const Outcome& outcome);

// Breaks text at blanks so that no line is longer than `width`; lines after the first start with
// `indent` blanks. Words longer than a line stand alone. Width counts characters, not bytes.
std::string wrapped(const std::string& text, std::size_t indent, std::size_t width = 80);

}  // namespace sondeline::cli
