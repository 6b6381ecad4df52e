#pragma once

#include <string_view>

namespace sondeline {

// page.css and page.js of this folder, as they were when the program was built. Green is the
// uniform colour code's colour of sewers and drains, pink that of survey marks; every difference
// shown by colour is shown by shape, dash or word as well.
std::string_view page_style();
std::string_view page_script();

}  // namespace sondeline
