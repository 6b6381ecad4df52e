// Whether the first digit of a number belongs to it. A sign, the edge of a box or a letter before
// the number is easily taken for a digit, and is then wrong by a factor of ten or more in every
// frame. But within one clip each digit is drawn alike in every place: a first digit that never
// changes is held against the same digit where it stands further behind.
#pragma once

#include <span>
#include <string>

#include "footage/structure_candidate.hpp"

namespace sondeline {

enum class FirstDigit {
    moves,      // it changes, or is 0: no sign and no edge does that
    confirmed,  // it looks like the same digit in other places
    foreign,  // it looks like no digit of this clip, or numbers of other lengths begin with it too
    unknown,  // the same digit was not seen elsewhere
};

// `crops` are those the candidate was decoded on.
FirstDigit look_at_first_digit(const Candidate& candidate, std::span<const LineCrop* const> crops);

// Whether what stands in the cell before the number looks in `others` as it does in `crops`.
bool same_before(const Candidate& candidate, std::span<const LineCrop* const> crops,
                 std::span<const LineCrop* const> others);

// Why the first digit is in doubt, in plain words; empty: no doubt.
std::string doubt_of_first_digit(const Candidate& candidate);

}  // namespace sondeline
