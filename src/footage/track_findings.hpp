// What a technician must be told about a clip that was read, in plain words.
#pragma once

#include <string>

#include "sondeline/footage.hpp"

#include "footage/frames.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

Finding clip_finding(const Track& track, Severity severity, std::string what,
                     std::string what_to_do, std::optional<double> time_s = {});

// How the finding begins that says how else the counter could be read.
std::string opening_of_doubt(const CounterFormat& format);

// Damage, cuts, gaps and steps of time.
void tell_of_frames(const FrameReport& report, Track& track);

// Where the digits of the counter could not be told in more than three tenths of the pictures that
// show it.
void tell_of_unclear_digits(const LineReading& counter, Track& track);

// Share unread, longest unread stretch, zeroings. `track.format` must be set.
void tell_of_readings(Track& track);

}  // namespace sondeline
