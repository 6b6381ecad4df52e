// What the glyph network sees at every place along a line of text, in several crops.
#pragma once

#include <span>
#include <vector>

#include "footage/glyph_net.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

// The row of the digits and the distance between neighbouring ones, in pixels of the crop.
struct TextBand {
    double top_px = 0.0;
    double height_px = 0.0;
    double pitch_px = 0.0;
};

inline Strokes strokes_of(const LocatedLine& line) {
    return line.light_on_dark ? Strokes::bright : Strokes::dark;
}

// Class of the greatest logit among the ten digits; logits are cut at ±`most_logit`.
inline constexpr float most_logit = 5.0F;
float digit_logit(const GlyphLogProbs& log_probs);
float class_logit(const GlyphLogProbs& log_probs, Glyph glyph);

// Cells `steps_per_pitch` to the pitch from `from_px` (left edge of the first) to `to_px`.
class GlyphMap {
  public:
    GlyphMap(std::span<const LineCrop* const> crops, const GlyphNet& net, Strokes strokes,
             const TextBand& band, double from_px, double to_px, int steps_per_pitch);

    int places() const { return places_; }
    int crops() const { return crops_; }
    int steps_per_pitch() const { return steps_; }
    double left_px(int place) const { return from_px_ + place * band_.pitch_px / steps_; }
    const TextBand& band() const { return band_; }

    // No digit is seen outside the map.
    float digit(int crop, int place) const {
        return place < 0 || place >= places_ ? -most_logit : digits_[index(crop, place)];
    }
    const GlyphLogProbs& at(int crop, int place) const { return all_[index(crop, place)]; }
    // Mean over the crops; -most_logit outside.
    float mean_logit(int place, Glyph glyph) const;

  private:
    std::size_t index(int crop, int place) const {
        return static_cast<std::size_t>(crop) * places_ + place;
    }

    TextBand band_;
    double from_px_ = 0.0;
    int steps_ = 1;
    int places_ = 0;
    int crops_ = 0;
    std::vector<GlyphLogProbs> all_;
    std::vector<float> digits_;
};

// Some `count` of the crops, evenly spread.
std::vector<const LineCrop*> spread_crops(std::span<const LineCrop> crops, std::size_t count);

}  // namespace sondeline
