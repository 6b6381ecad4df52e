// Text drawn with an outline font through FreeType, for invented overlays and for training the
// glyph network. Test support only; the product draws no text.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

namespace sondeline::support {

struct DrawnText {
    cv::Mat1b coverage;           // 0…255, how much of each pixel the ink covers
    std::vector<cv::Rect> cells;  // advance box of each character, full text height
    std::vector<cv::Rect> ink;    // tight ink box of each character; empty for blanks
    int baseline = 0;             // row of the baseline
};

struct TextShape {
    bool antialiased = true;
    bool fixed_pitch = false;  // every character takes the advance of '0'
    double slant = 0.0;        // horizontal shear, e.g. 0.2
    double stretch = 1.0;      // width factor
};

class Typeface {
  public:
    // Opens a font file so that digits are about `digit_height_px` tall. Empty when it cannot be
    // opened or has no digits.
    static std::optional<Typeface> open(const std::filesystem::path& font, int digit_height_px);

    // Draws UTF-8 text on one line. A character the font lacks is left blank, as wide as '0'.
    DrawnText draw(const std::string& text, const TextShape& shape = {}) const;

  private:
    struct Face;
    std::shared_ptr<Face> face_;
};

}  // namespace sondeline::support
