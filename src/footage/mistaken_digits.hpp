// Digits of one clip that are taken for others. A head that moves shows the order of digits: what
// stands between 7.2 and 7.4 is no 8, however clearly a cell says so. Where that happens again and
// again, the 8 of that cell may be a 3 as well, at rest too, where no order tells them apart.
#pragma once

#include <span>
#include <vector>

#include "footage/counter_path.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

// The evidence, with each digit that `path` shows to be taken for another in the cell of the last
// place made as likely there as it proved to be; empty when none is. `path` is that of the
// evidence. Feet and inches are left alone.
std::vector<LineEvidence> with_mistaken_digits_allowed(const CounterShape& shape,
                                                       const CounterPath& path,
                                                       std::span<const LineEvidence> evidence);

}  // namespace sondeline
