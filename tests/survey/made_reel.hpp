// The reel of a made track whose counter counts metres.
#pragma once

#include "survey/reel_reading.hpp"

namespace sondeline::made {

inline ReelReading reel_of(const JoinedTrack& track) {
    ReelReading reel;
    reel.track = &track;
    reel.metres_per_count = 1.0;
    return reel;
}

}  // namespace sondeline::made
