// The clips of a folder, and which run each belongs to.
#pragma once

#include "sondeline/intake.hpp"

#include "intake/finding_log.hpp"

namespace sondeline {

// Names sort as people count, without regard to letter case: clip2 before Clip10.
bool natural_less(const std::string& a, const std::string& b);

bool is_footage(const std::filesystem::path& path);

// Turns the names that runs give into those of the files there are: letter case does not matter,
// nor the extension when only one file answers. A name without a file, a file without a run and a
// file of two runs are reported.
void settle_footage_names(Job& job, FindingLog& log);

// One run for every file, called like the file without its extension.
void make_runs_from_footage(Job& job, FindingLog& log);

}  // namespace sondeline
