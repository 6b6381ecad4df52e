// Which of the lines watched is the reel's counter, and what the others are.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "footage/read_span.hpp"

namespace sondeline {

// Null when no line counts as a reel does.
struct CounterChoice {
    const WatchedLine* line = nullptr;
    const LineReading* reading = nullptr;
    double probability = 0.0;  // that the line is a reel counter
    std::string doubt;         // what else the reading could be, in plain words; else empty
};

CounterChoice likeliest_counter(std::span<const WatchedLine> lines);

// The number that came nearest to counting as a reel does, when there is no counter and it came
// near: worth telling the user about. Else null.
CounterChoice near_counter(std::span<const WatchedLine> lines);

// The other lines as fields, top to bottom.
std::vector<OverlayField> other_fields(std::span<const WatchedLine> lines,
                                       const CounterChoice& counter);

// The samples of the counter, or of none when there is no counter; damaged ones among them.
std::vector<CounterSample> samples_of(const SpanReading& reading, const CounterChoice& counter);

}  // namespace sondeline
