// What the commands print.
#pragma once

#include <string_view>

namespace sondeline::cli {

// To standard out. A failure is remembered for said_all.
void say(std::string_view text);

// To standard error, with a line end.
void complain(std::string_view text);

// Whether all that was said has been written: false on a full disk or when the reader of a pipe
// went away.
bool said_all();

}  // namespace sondeline::cli
