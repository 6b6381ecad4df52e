// Digits drawn from strokes, for typefaces that no font package has: between square and round,
// with the odd forms of machine-readable and display lettering, and seven-segment displays.
#pragma once

#include <array>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "support/training/overlay_scene.hpp"

namespace sondeline::support {

// One pull of the pen: in the digit's box, x and y in 0…1, y down.
struct Stroke {
    std::vector<cv::Point2d> points;
    bool closed = false;
};

struct InventedFace {
    std::array<std::vector<Stroke>, 10> digits;
    double pitch = 0.8;  // of the digit height, as are the next two
    double width = 0.6;  // of the digit's box
    double thickness = 0.12;
    double slant = 0.0;        // horizontal shear
    double segment_gap = 0.0;  // what a stroke is shortened by at each end; of the height
    double dot_width = 1.0;  // advance of point and colon, of the pitch; 0: within the digit before
};

InventedFace random_invented_face(cv::RNG& chance);

// Knows digits, minus, point, comma, colon, slash and plus; anything else is a blank. Takes of the
// lettering the height, the enlargement and the hardness of its pixels.
DrawnLine draw_line(const InventedFace& face, const Lettering& lettering, const std::string& text);

}  // namespace sondeline::support
