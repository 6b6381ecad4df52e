// Where light washes an overlay out, or compression wipes its strokes away, a cell holds next to
// nothing of its digit, and the network, which sees cells at full contrast, takes what is left for
// one. How strongly such a cell speaks is brought down to what can be seen of its strokes.
#pragma once

#include <span>
#include <vector>

#include "footage/line_reader.hpp"

namespace sondeline {

// The evidence, that of faint cells weakened: where strokes stand out by less than two fifths of
// what is usual in that cell, the probabilities are raised to the square of the share of that which
// is left, and made to sum to 1 again (the logarithm of a ratio of likelihoods grows with the
// square of the signal). Cells that show no digit, or too rarely to say what is usual, are left as
// they are.
std::vector<LineEvidence> with_faint_cells_weakened(const CounterShape& shape,
                                                    std::span<const LineEvidence> evidence);

}  // namespace sondeline
