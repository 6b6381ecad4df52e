// A PDF made from HTML by a program of the machine.
#pragma once

#include <filesystem>
#include <string>

#include "sondeline/terms.hpp"

namespace sondeline {

// Runs `program` on `html` with the arguments HTML-file PDF-file, as WeasyPrint takes them, and
// leaves `pdf`. The HTML needs nothing from outside. Empty when it was made; else nothing is left
// of it, and the finding says why and what to do. A program that works for over a
// minute, waits for ten, or takes more than two gigabytes is ended.
Findings make_pdf(const std::string& program, const std::string& html,
                  const std::filesystem::path& pdf);

}  // namespace sondeline
