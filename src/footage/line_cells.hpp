// The cells of a structure in one crop, as the network sees them.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "footage/cell_sampler.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

struct CellGlyphs {
    int count = 0;
    std::vector<GlyphPatch> patches;
    std::vector<GlyphFeatures> features;
    std::vector<GlyphLogProbs> log_probs;  // by the network's own last layer
};

// Looks at the cells of one structure in one crop of its line after another.
class CellReader {
  public:
    // `net` must outlive the reader.
    CellReader(const LineStructure& structure, const GlyphNet& net);

    void look(const LineCrop& crop, CellGlyphs& glyphs);

  private:
    void sample(const cv::Mat1b& luma, std::span<GlyphPatch> patches);

    const GlyphNet& net_;
    bool interlaced_;
    CellSampler whole_;
    std::optional<CellSampler> first_field_, second_field_;
};

// LineEvidence::edges of the cells.
std::array<std::uint8_t, most_line_cells> edges_of(const CellGlyphs& glyphs);

// What the cells of one crop say against each class.
CellCosts costs_of(std::span<const GlyphLogProbs> seen);

}  // namespace sondeline
