// Which structures hang on one rod reading.
#pragma once

#include <vector>

#include "sondeline/grade.hpp"
#include "sondeline/survey.hpp"

namespace sondeline {

// The structures of the site whose ground was levelled and whose name stands in one row of the
// level table, with a foresight and nothing else, in the order of the site.
std::vector<HeightReadOnce> heights_read_once(const Job& job, const Site& site);

}  // namespace sondeline
