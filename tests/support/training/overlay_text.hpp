// Invented lines of overlay text for training: counters, clocks, dates, titles and nonsense.
#pragma once

#include <string>

#include <opencv2/core.hpp>

#include "footage/glyph_net.hpp"

namespace sondeline::support {

// ASCII, 4 to 14 characters. Without letters, only signs that a seven-segment face has.
std::string overlay_text(cv::RNG& chance, bool with_letters);

// The same text a moment later: its last digits changed, the layout kept.
std::string next_text(cv::RNG& chance, std::string text);

// The class of a character as drawn; a space is blank.
Glyph glyph_of(char character);

}  // namespace sondeline::support
