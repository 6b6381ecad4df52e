// How alike two unrolled pictures are, row by row, when the later one is moved along.
#pragma once

#include <array>
#include <vector>

#include "footage/water/unrolled.hpp"

namespace sondeline {

inline constexpr int most_flow_shift = 14;  // columns

// Sums over the pairs of known places that lie a shift apart, one for each shift 0 … 15.
struct PairSums {
    using Each = std::array<float, 16>;
    Each n{};
    Each a{}, aa{};  // of the one picture
    Each b{}, bb{};  // of the other
    Each ab{};

    PairSums& operator+=(const PairSums& more);
};

static_assert(std::tuple_size_v<PairSums::Each> > most_flow_shift);

// The columns lie in two halves: far ahead, and near. Each pair is of the half of the place that
// lies further ahead.
struct RowLikeness {
    std::array<PairSums, 2> on;    // by half: the later picture moved outwards, as while pushing
    std::array<PairSums, 2> back;  // moved inwards
};

// Columns of the far half, of so many in all: about even when the wall has moved by six of forty.
inline int far_columns(int columns) {
    return columns * 17 / 40;
}

// One for each direction. Same columns in both.
std::vector<RowLikeness> row_likeness(const Unrolled& before, const Unrolled& after);

}  // namespace sondeline
