// Room for labels on a drawing: what is taken, and the best of several places for the next one.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace sondeline {

struct LabelBox {
    double left_px = 0.0;
    double top_px = 0.0;
    double right_px = 0.0;
    double bottom_px = 0.0;
};

// The box of a line of text that begins at x and stands on the baseline y. Widths are those of a
// common sans serif, a little wide, as the reader's typeface is not known.
LabelBox text_box(double x_px, double baseline_px, std::string_view text, double size_px);

// The first letters of a name that is longer, with "…" behind them: `most` letters in all, whole
// UTF-8 characters.
std::string shortened(std::string_view name, std::size_t most);

class LabelSpace {
  public:
    LabelSpace(double width_px, double height_px) : width_px_(width_px), height_px_(height_px) {}

    // Nothing may cover this.
    void take(const LabelBox& box) { taken_.push_back(box); }
    // A line is taken as a chain of small boxes of this half-width.
    void take_line(double x1_px, double y1_px, double x2_px, double y2_px, double half_px);

    // Square pixels that would be covered, those outside the drawing included.
    double covered_px2(const LabelBox& box) const;

    // Index of the candidate that covers least, the first of equals; it is taken. `boxes` must not
    // be empty.
    std::size_t place(const std::vector<LabelBox>& boxes);

  private:
    double width_px_;
    double height_px_;
    std::vector<LabelBox> taken_;
};

}  // namespace sondeline
