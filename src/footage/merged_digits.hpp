// Digits of one clip that cannot be told apart. A last digit that runs through many tens shows all
// ten digits about equally often; when one never comes, not even where the head passes slowly from
// the value before it to the one behind, and its neighbour comes too often, the two look the same
// to the reader, and every reading with that neighbour may be wrong.
#pragma once

#include <bitset>
#include <span>

#include "footage/counter_format.hpp"
#include "footage/line_reader.hpp"

namespace sondeline {

// The digits that may stand for another one; none when the readings do not run through enough tens
// to tell. Unread samples are passed over.
std::bitset<10> merged_digits(std::span<const LineSample> samples);

// Last digits that never come though all others do.
struct MissingDigits {
    std::bitset<10> missing;
    std::bitset<10> stand_ins;   // come so often that they seem to be read for the missing ones
    bool mostly_unread = false;  // where the missing ones were passed, nothing was read
};

// The last digits that never come, however fast the head is moved: by chance that would happen in
// one clip of a thousand. Another digit is read for them; which one is not known where none stands
// out. None when the readings are too few to tell, or when one step, taken over and over, leaves
// these digits out.
MissingDigits missing_last_digits(std::span<const LineSample> samples);

// Whether the values that the counter comes to nearly all end in one digit: something that never
// changes, a letter of the unit for one, is read as its last place.
bool last_digit_stays(std::span<const LineSample> samples);

// Whether the sample is read, with one of the digits at its end.
bool ends_in_any(const LineSample& sample, const std::bitset<10>& digits);

// Whether any of the digits is written when the counter shows `ticks`.
bool shows_any(const CounterShape& shape, std::int64_t ticks, const std::bitset<10>& digits);

}  // namespace sondeline
