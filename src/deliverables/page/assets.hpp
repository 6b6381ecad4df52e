#pragma once

#include <string_view>

namespace sondeline {

// The style sheets and the script of this folder, as they were when the program was built. Green is
// the uniform colour code's colour of sewers and drains, pink that of survey marks; every
// difference shown by colour is shown by shape, dash or word as well.
std::string_view page_style();
std::string_view drawings_style();  // of plans, profiles and charts, on screen and on paper
std::string_view paper_style();
std::string_view page_script();

}  // namespace sondeline
