#pragma once

#include <string_view>

namespace sondeline {

// The page's style sheet. Green is the uniform colour code's colour of sewers and drains; every
// difference shown by colour is shown by shape, dash or word as well.
std::string_view page_style();

}  // namespace sondeline
