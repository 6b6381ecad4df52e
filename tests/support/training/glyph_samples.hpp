// Labelled patches for training and testing the glyph network, cut from invented lines of overlay
// text so that every cell has its neighbours, its box and its background about it.
#pragma once

#include <filesystem>
#include <vector>

#include <opencv2/core.hpp>

#include "footage/glyph_net.hpp"

namespace sondeline::support {

struct GlyphSample {
    GlyphPatch patch{};
    Glyph glyph = Glyph::blank;
    // Two characters blended, as frame-rate conversion does: `other` has this share of the picture.
    Glyph other = Glyph::blank;
    float other_share = 0.0F;
};

struct SampleOptions {
    bool with_letters = true;    // false for faces that have digits and few signs only
    bool with_negatives = true;  // cells that hold no whole character
    double low_px = 10.0;        // digit height
    double high_px = 40.0;
    bool with_warp = false;  // strokes bent, for faces that are in no font package
};

// Adds the cells of one line. Adds nothing when the face cannot be used.
void add_line_samples(cv::RNG& chance, const std::filesystem::path& face,
                      const SampleOptions& options, std::vector<GlyphSample>& samples);

// The same in a face of strokes invented for this line.
void add_invented_line_samples(cv::RNG& chance, const SampleOptions& options,
                               std::vector<GlyphSample>& samples);

}  // namespace sondeline::support
