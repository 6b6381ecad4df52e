#pragma once

#include <string>
#include <string_view>

namespace sondeline {

// Text as it may stand in HTML and SVG, in elements and in quoted attributes alike.
std::string escaped(std::string_view text);

// A number of pixels with one decimal, so that pictures are the same on every machine.
std::string px(double value);

}  // namespace sondeline
