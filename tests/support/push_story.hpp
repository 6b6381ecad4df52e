// A push story told frame by frame: where the head is, and what the reel's counter says.
#pragma once

#include <vector>

#include "support/scenario.hpp"

namespace sondeline::support {

enum class PictureKind { pipe, black, blue, frozen };

struct HeadState {
    double time_s = 0.0;
    double station_m = 0.0;
    double speed_m_per_s = 0.0;
    double counter = 0.0;  // exact, in the unit of `counter_scale`
    int overlay_set = 0;   // negative: none
    PictureKind picture = PictureKind::pipe;
};

// The scale of the first counter in any overlay set, which is the one the reel counts in.
CounterScale counter_scale(const Scenario& scenario);

// One state every 1/`states_per_s` seconds. Throws std::invalid_argument for a step that could not
// come to an end (no speed, a push to behind the head) or a story longer than two hours.
std::vector<HeadState> tell_story(const Scenario& scenario, double states_per_s);

}  // namespace sondeline::support
