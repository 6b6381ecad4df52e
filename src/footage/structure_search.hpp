// How a line of text is laid out, judged by the sequence that each layout would give.
#pragma once

#include "footage/line_reader.hpp"

namespace sondeline {

// Metres in one tick; a unit that is unknown counts as a foot, the shorter one.
double metres_to_the_tick(const CounterFormat& format);

}  // namespace sondeline
