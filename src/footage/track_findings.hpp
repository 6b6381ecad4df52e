// What a technician must be told about a clip that was read, in plain words.
#pragma once

#include <string>

#include "sondeline/footage.hpp"

#include "footage/frames.hpp"

namespace sondeline {

Finding clip_finding(const Track& track, Severity severity, std::string what,
                     std::string what_to_do, std::optional<double> time_s = {});

// Damage, cuts, gaps and steps of time.
void tell_of_frames(const FrameReport& report, Track& track);

// Share unread, longest unread stretch, zeroings. `track.format` must be set.
void tell_of_readings(Track& track);

}  // namespace sondeline
