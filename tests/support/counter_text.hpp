// How a counter, a clock and other changing figures are written on the picture.
#pragma once

#include <string>

#include "support/scenario.hpp"

namespace sondeline::support {

// A counter rounded to its last place: whole ticks of 10^-decimals, or inches.
long counter_ticks(const CounterStyle& style, double value);

// What stands on the picture: "0012.4 ft", "12' 6\"", "-0.3m"…
std::string counter_text(const CounterStyle& style, long ticks);

// The same as a plain number in decimal units, as a table would hold it: "12.4", "12.5000".
std::string counter_number(const CounterStyle& style, long ticks);

// "10:32:05" from seconds since midnight, which wrap.
std::string clock_text(double seconds);

// The same as "10:32:05 AM", with hours from 1 to 12.
std::string half_day_clock_text(double seconds);

}  // namespace sondeline::support
