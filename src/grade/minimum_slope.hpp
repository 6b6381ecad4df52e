// The slope asked of a run by a published table. The rule in force at the site and the local health
// department decide; these are what a table says when nothing else is known.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "sondeline/alignment.hpp"

namespace sondeline::grade {

struct SlopeAsked {
    std::optional<double> minimum;  // fall per length
    std::optional<double> at_most;  // of lines that are asked to be level
    std::string source;             // table and edition, or why nothing is asked
    bool kind_doubted = false;      // something may be asked, but not known what
};

struct PipeAsked {
    RunKind kind = RunKind::other;
    std::optional<double> diameter_m;  // inside or nominal
    std::string kind_doubt;            // SiteRun::kind_doubt
};

// `table` is "IPC Table 704.1", "UPC 708" or "none".
bool is_slope_table(std::string_view table);

// Building sewers and effluent lines have a minimum; laterals and trenches are asked to be level or
// to fall at most a little. A pipe whose kind is in doubt is asked nothing. Sizes between two of a
// table count to the nearer.
SlopeAsked slope_asked(std::string_view table, const PipeAsked& pipe);

// A pump drives its water, so that it may climb.
SlopeAsked nothing_asked_of_a_force_main();

}  // namespace sondeline::grade
