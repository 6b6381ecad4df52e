// What became of every fix.
#pragma once

#include "alignment/network.hpp"

namespace sondeline::alignment {

// As Site::fixes; `lines` has the adjusted runs. Reasons of rejected fixes are filled in.
std::vector<FixResult> fix_results(const Site& site, const NetworkData& data,
                                   const Network& network, const Lines& lines);

// "1.80 m right of the line and 0.30 m ahead".
std::string where_it_lies(const FixResult& result, LengthUnit unit);

}  // namespace sondeline::alignment
