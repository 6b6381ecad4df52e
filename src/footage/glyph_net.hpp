// A small convolutional network that tells which character stands in one cell of overlay text.
//
// A cell is resampled to a patch of 16 by 24 (patch_from), the patch is classified, and the caller
// gets log-probabilities of all classes: evidence for the sequence, not a verdict.
//
// Shape: 3x3 convolution, rectifier, 2x2 maximum; the same again; a full layer with rectifier (the
// features); a full layer and log-softmax. Weights are compiled in (glyph_weights.cpp) and are made
// by the program train_glyphs from typefaces alone; it prints which.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <string_view>

#include <opencv2/core.hpp>

namespace sondeline {

inline constexpr int patch_width = 16;
inline constexpr int patch_height = 24;

// How a cell lies in its patch. The cell is as wide as one digit's pitch and as tall as the digits'
// ink (from the top of a 0 to the baseline, both included, without outline); it is mapped onto the
// columns [2, 14) and the rows [3, 21) of the patch, whatever its proportions. So the patch shows
// a sixth of a pitch of each neighbour and a sixth of the digits' height above and below.
inline constexpr int patch_cell_left = 2;
inline constexpr int patch_cell_width = 12;
inline constexpr int patch_cell_top = 3;
inline constexpr int patch_cell_height = 18;

enum class Glyph : std::uint8_t {
    digit_0,
    digit_1,
    digit_2,
    digit_3,
    digit_4,
    digit_5,
    digit_6,
    digit_7,
    digit_8,
    digit_9,
    minus,
    plus,
    point,  // or comma
    colon,
    slash,
    prime,
    double_prime,
    letter_f,      // F or f
    letter_t,      // T or t
    letter_m,      // M or m
    blank,         // background, box, edge of a box, the halves of two neighbours, half a character
    other_letter,  // any other letter or sign
};
inline constexpr int glyph_count = 22;
inline constexpr int glyph_feature_count = 64;

// The one character that a class stands for ("7", "-", "f"), "blank" or "other".
std::string_view name(Glyph glyph);

// Row by row from the top, bright strokes high. Scale and offset do not matter: classify() takes
// the mean away and divides by the standard deviation. A patch without contrast is a blank.
using GlyphPatch = std::array<float, patch_width * patch_height>;

// Natural logarithm of the probability of each class, in the order of Glyph; finite, sum of
// exponentials 1. Two characters blended, as frame-rate conversion and combing do, share the
// probability. On faces never trained on, the probabilities hold as they stand for ordinary faces
// and are somewhat too sure for odd ones (a temperature of 1.2 would fit those best).
using GlyphLogProbs = std::array<float, glyph_count>;

// Output of the last hidden layer, none negative.
using GlyphFeatures = std::array<float, glyph_feature_count>;

// Classes side by side, as many as fill whole registers; those beyond glyph_count mean nothing.
inline constexpr int glyph_sums = 24;
using GlyphSums = std::array<float, glyph_sums>;

struct LastLayer {
    std::array<GlyphSums, glyph_feature_count> weights{};  // by feature
    GlyphSums bias{};
};

// log-softmax(weights · features + bias): what classify() does last. For trying another last layer
// on features that were kept, at a fiftieth of the cost of classifying again.
GlyphLogProbs classify_features(const GlyphFeatures& features, const LastLayer& layer);

// Stroke polarity of the text in the picture. The network knows bright strokes only.
enum class Strokes { bright, dark };

// Samples the picture about `cell` (pixel coordinates, the centre of pixel (0,0) at (0.5,0.5)) as
// said at patch_cell_left: averaging where the picture is finer than the patch, bilinear where it
// is coarser. What lies outside the picture takes the value of the nearest pixel within. Dark
// strokes are turned to bright. All zero for an empty picture or a cell without area.
//
// In text of variable pitch a cell keeps the digits' pitch and is centred on the advance of its
// character; the network is trained so. Cells may be off by 8 % of the pitch and of the height.
// Cost: a few microseconds for text of 20 px.
GlyphPatch patch_from(const cv::Mat1b& luma, cv::Rect2d cell, Strokes strokes = Strokes::bright);
GlyphPatch patch_from(const cv::Mat1f& luma, cv::Rect2d cell, Strokes strokes = Strokes::bright);

// Copies share the inner layers, which never change, and own their last layer. Const members may
// be called from several threads. Results depend on the patch alone, to the bit.
class GlyphNet {
  public:
    // From the weights compiled in.
    GlyphNet();

    // `out` (and `features`) must be as long as `patches`; std::invalid_argument otherwise.
    void classify(std::span<const GlyphPatch> patches, std::span<GlyphLogProbs> out) const;
    void classify_with_features(std::span<const GlyphPatch> patches, std::span<GlyphLogProbs> out,
                                std::span<GlyphFeatures> features) const;

    const LastLayer& last_layer() const { return last_layer_; }
    void replace_last_layer(const LastLayer& layer) { last_layer_ = layer; }

  private:
    struct InnerLayers;
    std::shared_ptr<const InnerLayers> inner_;
    LastLayer last_layer_;
};

}  // namespace sondeline
