// The running clock and the date of the overlay.
//
// A clock is read as a whole: where its six digits stand is sought once, then the reading of every
// crop says at which second the clip began; they must agree, from the first crop to the last.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "footage/glyph_map.hpp"

namespace sondeline {

// Six digits of one crop, as sure as the least sure of them.
struct ClockSight {
    double time_s = 0.0;     // of the crop, in the clip
    int second_of_day = -1;  // negative when the digits are no time of day
    float probability = 0.0F;
};

// The time of day at the clip's start that most sights agree on, or why there is none. A clock
// that shows `v` at time t says that the clip began in (v - t - 1, v - t] before the second ended.
struct ClockStart {
    double start_s = 0.0;  // after midnight
    double bound_s = 0.0;
    std::string why_not;  // empty when there is a start
};
ClockStart clock_start(std::span<const ClockSight> sights);

// "2026-05-14" from the groups of digits of a date as shown ("14", "05", "2026"); empty when they
// are no date, or could be read as another one too (day and month both below 13).
std::string date_of(std::span<const std::string> groups);

struct ClockReading {
    std::optional<OverlayClock> clock;  // without its date
    std::string why_not;                // a clock was seen that cannot be used
    std::string date;                   // as OverlayClock::date, when the line shows one
};

// `crops` in any order, `band` where the line's digits stand. The line was seen to hold a colon or
// a slash between digits.
ClockReading read_clock(const LocatedLine& line, std::span<const LineCrop> crops,
                        const TextBand& band, const GlyphNet& net);

}  // namespace sondeline
