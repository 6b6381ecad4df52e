// Where text stands fixed in the picture while the picture moves.
//
// Gradient coherence: over frames in which the scene differs, C = |sum of gradients| / sum of
// |gradients|. Strokes of an overlay keep their gradient, so C is near 1 along their edges (and
// about a half where a digit changes now and then); a moving wall has C near 0.
#pragma once

#include <cstdint>
#include <vector>

#include <opencv2/core.hpp>

#include "sondeline/footage.hpp"

namespace sondeline {

// A piece of one row of text.
struct TextLine {
    PixelBox box;               // of the ink, in pixels of the stored picture
    bool light_on_dark = true;  // strokes lighter than their surroundings
    double score = 0.0;         // ink pixels, weighted by coherence; a rank, not a probability
    double restless = 0.0;      // share of the ink whose gradient came and went: changing glyphs
};

// Sums over frames of one size; memory is six numbers a pixel, whatever the number of frames.
class GradientCoherence {
  public:
    // `interlaced`: only even rows are used, so that motion between the fields makes no edges.
    explicit GradientCoherence(bool interlaced) : interlaced_(interlaced) {}

    // Takes the frame in, unless the scene is as good as that of the last frame taken: a resting
    // camera would make the wall look like an overlay. Returns whether it was taken.
    bool add(const cv::Mat1b& luma);

    int frames() const { return frames_; }

    // Lines of text, best first, at most `most`. Empty when fewer than four frames were taken.
    std::vector<TextLine> lines(int most) const;

  private:
    bool interlaced_;
    int frames_ = 0;
    cv::Mat1f last_coarse_;
    cv::Mat1s slope_x_, slope_y_;  // of the last frame; kept because fresh memory costs more
    cv::Mat1f sum_luma_, sum_square_;
    cv::Mat1i sum_x_, sum_y_, sum_size_;
};

}  // namespace sondeline
