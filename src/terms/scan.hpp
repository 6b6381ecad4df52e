// Taking typed text apart, from the left: each function removes what it has read.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace sondeline {

std::string_view trim(std::string_view text);  // blanks, tabs and line ends at both sides

// ASCII lower case, with typographic signs in their plain form: primes and curly quotes become '
// and
// ", a degree sign or masculine ordinal "d", the minus sign and dashes "-", no-break spaces a
// blank, vulgar fractions " 1/2".
std::string plain(std::string_view text);

void skip_blanks(std::string_view& text);

// Removes `prefix` when `text` begins with it.
bool take(std::string_view& text, std::string_view prefix);

// Removes an unsigned decimal number (`12`, `12.4`, `.5`, `12.`, `1e-3`) and returns its value.
// Leaves `text` alone and returns empty when there is none, or when it is beyond the range of a
// double.
std::optional<double> take_number(std::string_view& text, bool decimal_comma);

// Removes exactly `digits` decimal digits.
std::optional<int> take_digits(std::string_view& text, int digits);

// Removes a leading + or -; -1 for a minus, else 1.
int take_sign(std::string_view& text);

}  // namespace sondeline
