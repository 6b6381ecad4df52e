// Between which rows the digits of a line of text stand, and how far apart they may be.
#pragma once

#include <span>
#include <vector>

#include "footage/glyph_map.hpp"

namespace sondeline {

// Bands and pitches that may fit, best first, at most `most`. Empty for a line without room.
std::vector<TextBand> likely_bands(const LocatedLine& line, std::span<const LineCrop> crops,
                                   const GlyphNet& net, int most);

struct BandsOfLine {
    bool light_on_dark = true;
    std::vector<TextBand> bands;
};

// The likely bands, with dark and light exchanged where the characters are clearer to the network
// so: outlined text on a middling ground, and text in a box that lets a bright wall through, can be
// taken either way. Where the other way is nearly as clear it comes second; none for a line without
// room.
std::vector<BandsOfLine> bands_either_way(const LocatedLine& line, std::span<const LineCrop> crops,
                                          const GlyphNet& net, int most);

}  // namespace sondeline
