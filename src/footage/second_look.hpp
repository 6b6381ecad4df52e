// When a line that seems to be read well is looked at a second time, and what comes of it.
#pragma once

#include <span>

#include "footage/line_reader.hpp"

namespace sondeline {

// Whether bright scene gives way to dark within digits of the structure in more than a few of the
// crops that its search has looked at, which are some of `crops`. Such an edge can be taken for a
// stroke, and sample after sample read for the same wrong digit.
bool light_ends_within_digits(const LineStructure& structure, std::span<const LineCrop> crops);

// Whether two structures of one line give the same values, but for a few, in the crops that both
// searches have looked at and both are sure of. So they do when they are not comparable: when they
// count in different steps, or are sure together too rarely.
bool read_alike(const LineStructure& a, const LineStructure& b);

}  // namespace sondeline
