// Every fix at its station, with its position and weights in the frame.
#pragma once

#include "survey/ground.hpp"
#include "survey/receivers.hpp"
#include "survey/reel_reading.hpp"

namespace sondeline {

// What placing needs of the site: reels in the order of Job::runs.
struct PlacingInputs {
    const Job& job;
    const SiteFrame& frame;
    const std::vector<ReelReading>& reels;
    const GroundSources& ground;
    const Receivers& receivers;
    LengthUnit unit = LengthUnit::metre;  // of findings
};

// In the order of Job::fixes. A fix that cannot be placed keeps its position and says why. Of fixes
// given by clock that find no place the adjustment tells: it may find that the clocks differ.
std::vector<SiteFix> place_fixes(const PlacingInputs& inputs, Findings& findings);

}  // namespace sondeline
