// Between which rows the digits of a line of text stand, and how far apart they may be.
#pragma once

#include <span>
#include <vector>

#include "footage/glyph_map.hpp"

namespace sondeline {

// Bands and pitches that may fit, best first, at most `most`. Empty for a line without room.
std::vector<TextBand> likely_bands(const LocatedLine& line, std::span<const LineCrop> crops,
                                   const GlyphNet& net, int most);

// Whether the line's characters are clearer to the network with dark and light exchanged: outlined
// text on a middling ground can be taken either way.
bool clearer_inverted(const TextBand& band, const LocatedLine& line,
                      std::span<const LineCrop> crops, const GlyphNet& net);

}  // namespace sondeline
