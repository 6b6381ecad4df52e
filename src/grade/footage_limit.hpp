// The least standing water that the footage of a run could have shown.
#pragma once

#include "sondeline/grade.hpp"

namespace sondeline::grade {

// By what the footage looked along, clip upon clip: what one clip leaves open stays open, however
// plain another is. All of `length_m` is unseen where no place of the footage is known, or the
// length is not positive.
FootageLimit footage_limit(const AlignedRun& run, double length_m, LengthUnit unit);

}  // namespace sondeline::grade
