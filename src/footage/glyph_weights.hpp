// The trained weights of the glyph network, compiled in. Their source is written by train_glyphs.
#pragma once

#include <cstdint>
#include <span>

namespace sondeline {

// One layer: whole numbers, row after row; a row holds what one input sends to every output, and
// weight = number · scale of that output.
struct StoredLayer {
    std::span<const std::int8_t> numbers;
    std::span<const float> scales;  // one per output
    std::span<const float> bias;    // one per output
};

// Inputs of a convolution are ordered by row, column, channel of its 3x3 window; those of the first
// full layer by row, column, channel of the last picture.
struct StoredNet {
    StoredLayer first_convolution;
    StoredLayer second_convolution;
    StoredLayer hidden;
    StoredLayer last;
};

StoredNet stored_glyph_net();

}  // namespace sondeline
