// Pictures of the moments that matter, for clips that browsers do not play.
#pragma once

#include <string>
#include <vector>

#include "deliverables/page/run_motion.hpp"

namespace sondeline {

struct KeyStill {
    std::size_t clip = 0;  // index into RunMotion::clips
    double time_s = 0.0;   // in that clip
    std::string words;     // "first reading", "held still; note 2"
    std::string jpeg;
};

// Whether current browsers play a clip of this container and codec, by the names that
// ClipDescription uses.
bool browsers_play(const ClipDescription& clip);

// Of every run's clips that browsers do not play: the first reading, the furthest reach, each note,
// each belly, each hold, in the order of time. A clip has twelve at most, and a page 150, so that
// it stays small: the longest holds go before the short ones. One list for each of `motions`.
std::vector<std::vector<KeyStill>> key_stills(const AsBuilt& as_built,
                                              const std::vector<RunMotion>& motions);

}  // namespace sondeline
