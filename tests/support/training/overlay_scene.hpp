// One line of overlay text over an invented pipe wall, as a recorder would have kept it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <opencv2/core.hpp>

#include "support/typeface.hpp"

namespace sondeline::support {

// Text drawn as coverage, before it meets a picture; geometry in pixels of `coverage`.
struct DrawnLine {
    cv::Mat1f coverage;         // 0…1
    std::vector<double> left;   // of each character's advance
    std::vector<double> width;  // of each character's advance
    std::vector<bool> inked;    // false for blanks and characters the face lacks
    double digit_pitch = 0.0;   // advance of 0
    double digit_top = 0.0;     // of the ink of 0
    double baseline = 0.0;      // lower edge of the ink of 0
};

// How a recorder's character generator would draw text; the same for two texts of one clip.
struct Lettering {
    int drawn_height_px = 20;  // digit height as drawn
    double enlarge_x = 1.0;    // then enlarged by repeating pixels…
    double enlarge_y = 1.0;
    TextShape shape;
    double weight_px = 0.0;   // strokes widened (or narrowed, when negative) by about this
    bool scan_lines = false;  // every other row dimmed
    double row_gap = 0.0;     // share of each enlarged row that stays dark, at its lower end
    double column_gap = 0.0;  // the same to the right
};

// Digit height of the result is by ratio between the bounds.
Lettering random_lettering(cv::RNG& chance, double low_px, double high_px);

// Empty when the face cannot be opened, lacks digits, or the text has no characters.
std::optional<DrawnLine> draw_line(const std::filesystem::path& face, const Lettering& lettering,
                                   const std::string& text);

// What the lettering does to a line already drawn: enlargement, scan lines, weight. `line` is in
// pixels as drawn before, in pixels of the picture after.
void finish(const Lettering& lettering, DrawnLine& line);

// Bends the strokes smoothly, by about `strength_px`.
void warp(cv::RNG& chance, cv::Mat1f& coverage, double strength_px);

// The line composed onto a wall and degraded. `origin` is where the coverage's first pixel went.
struct Scene {
    cv::Mat1b luma;
    cv::Point origin;
};

// Bright text in a random style (outline, box, plain, half-transparent…), then blur, ringing,
// combing, noise and compression.
Scene random_scene(cv::RNG& chance, const DrawnLine& line);

// A piece of pipe wall, 0…255.
cv::Mat1f random_wall(cv::RNG& chance, cv::Size size);

}  // namespace sondeline::support
