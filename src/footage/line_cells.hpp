// The cells of a structure in one crop, as the network sees them.
#pragma once

#include <array>

#include "footage/line_reader.hpp"

namespace sondeline {

struct OwnGlyphs;  // own_glyphs.hpp

struct CellGlyphs {
    int count = 0;
    std::array<GlyphPatch, most_line_cells> patches{};
    std::array<GlyphFeatures, most_line_cells> features{};
    std::array<GlyphLogProbs, most_line_cells> log_probs{};  // by the network's own last layer
};

CellGlyphs look_at_cells(const LineCrop& crop, const LineStructure& structure, const GlyphNet& net);

// Costs by what the clip taught, or by the network alone when that is null.
CellCosts costs_of(const CellGlyphs& glyphs, const OwnGlyphs* own);

}  // namespace sondeline
