// Runs as the adjustment takes them.
#pragma once

#include "survey/place_fixes.hpp"

namespace sondeline {

struct RunInputs {
    const Job& job;
    const SiteFrame& frame;
    const std::vector<ReelReading>& reels;
    const std::vector<SiteStructure>& structures;
    const std::vector<SiteFix>& fixes;
    const std::vector<SiteNote>& notes;
    LengthUnit unit = LengthUnit::foot;  // of findings
};

// In the order of Job::runs, with every depth, taped invert and stretch of standing water placed.
std::vector<SiteRun> site_runs(const RunInputs& inputs, Findings& findings);

}  // namespace sondeline
