// A figure in the overlay that shows the camera's inclination, told from all others by how it
// behaves: it rests while the head rests and shows the same again where the head has been before.
#pragma once

#include <optional>
#include <span>

#include "footage/line_reader.hpp"

namespace sondeline {

// What stands behind a number: a ring at the height of the digits' upper half is a degree sign; a
// sign as tall as the digits and no known letter beside them is taken for a percent sign.
InclinationUnit mark_behind(const LineStructure& structure, std::span<const LineCrop> crops);

// A number that is not the counter, with the counter of the same frames.
struct PairedValue {
    double time_s = 0.0;
    double counter = 0.0;
    double value = 0.0;
};

// Whether the values behave like an inclination. `tick` of the value, `counter_tick` of the
// counter. Needs two stands of the head and, unless `unit_seen`, a place that was passed twice:
// else false.
bool is_inclination(std::span<const PairedValue> values, double tick, double counter_tick,
                    bool unit_seen);

}  // namespace sondeline
