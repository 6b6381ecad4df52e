// Whether a line that reads as a number is a reel's counter, from how its value behaves.
#pragma once

#include <span>

#include "footage/line_reader.hpp"

namespace sondeline {

struct KindVerdict {
    LineKind kind = LineKind::unreadable;
    double counter_probability = 0.0;
};

// A counter holds while the picture holds and moves while it moves, both ways, by no fixed rate, at
// the speed of a hand; a clock or a frame number gains steadily; a title never changes. A unit
// beside the number and a decimal point speak for a counter. `tick_m`: metres to the tick.
KindVerdict kind_of(std::span<const LineSample> samples, std::span<const LineEvidence> evidence,
                    const CounterFormat& format, double tick_m);

}  // namespace sondeline
