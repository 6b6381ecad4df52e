// Crops of one line of overlay text, drawn character by character, for tests of what the reader
// makes of a layout. Everything in them is invented.
#pragma once

#include <string>
#include <vector>

#include "footage/cell_grid.hpp"

namespace sondeline {

struct DrawnLine {
    LocatedLine line;
    std::vector<LineCrop> crops;
    std::vector<const LineCrop*> pointers() const;
    double first_px = 0.0;  // left edge of the first character
    TextBand band;          // of its digits
};

// One crop for each text, white on a noisy grey, a tenth of a second apart.
DrawnLine drawn_line(const std::vector<std::string>& texts,
                     const std::string& face = "DejaVuSansMono-Bold.ttf", int height_px = 24);

// Puts a dark outline of two pixels round the strokes, and a wall of that grey behind it.
void outline(DrawnLine& drawn, int wall);

}  // namespace sondeline
