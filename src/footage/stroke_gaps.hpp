// Strokes that are drawn in pieces or as two thin edges, made whole.
#pragma once

#include <opencv2/core.hpp>

#include "footage/line_reader.hpp"

namespace sondeline {

// The crop of a line with the gaps of its strokes closed as LocatedLine::gaps says; the same pixels
// where it says that there are none; of outlines alone, how much darker they are than what lies
// about them, filled (bright strokes). Outlines are filled in each field of an interlaced line by
// itself.
LineCrop with_gaps_closed(const LineCrop& crop, const LocatedLine& line);

}  // namespace sondeline
