// Figures in words, in the unit of the job's reports.
#pragma once

#include <string>
#include <vector>

#include "sondeline/terms.hpp"

namespace sondeline::alignment {

// "1.80 m" or "5.9 ft".
std::string length_words(double length_m, LengthUnit unit);

Where at_run(const RunId& run);
Where at_structure(const StructureId& structure);

// "3 fixes", "1 fix".
std::string count_words(int count, std::string_view one, std::string_view many);

// "F1", "F1 and F2", "F1, F2 and F3".
std::string list_words(const std::vector<std::string>& names);

}  // namespace sondeline::alignment
