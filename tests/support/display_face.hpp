// Digits as displays show them, drawn by program: seven bars and matrices of five by seven dots, in
// any width, weight, gap and slant, so that displays unlike any font file can be invented. The
// forms are drawn for this tree.
#pragma once

#include <optional>
#include <string>

#include "support/typeface.hpp"

namespace sondeline::support {

// Lengths are shares of the digit height.
struct DisplayFace {
    enum class Kind { bars, dots };
    Kind kind = Kind::bars;
    double width = 0.55;  // of a digit
    double pitch = 0.8;   // from digit to digit
    double slant = 0.0;   // horizontal shear

    // Bars.
    double weight = 0.12;
    double gap = 0.02;         // between the tips of two bars
    double bevel = 1.0;        // 0: square ends; 1: pointed ones
    bool six_has_roof = true;  // and nine a floor
    bool seven_has_hook = false;
    double point_width = 0.0;  // advance of the point; 0: in the room between two digits

    // Dots.
    double dot = 0.8;        // diameter, of the distance between two
    bool round_dots = true;  // else square
};

// The face that a name such as "display bars 12" or "display dots 3" stands for, each number
// another; empty for names of other faces.
std::optional<DisplayFace> display_face(const std::string& name);

// Draws UTF-8 text on one line with digits of that height. Knows digits, minus, point, comma and
// colon, dots also plus, slash, prime and the letters of units; other characters are blanks.
DrawnText draw_display(const DisplayFace& face, int digit_height_px, const std::string& text,
                       const TextShape& shape = {});

}  // namespace sondeline::support
