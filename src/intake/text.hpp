// Text of unknown encoding and of any content, made fit for tables, findings and files.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "terms/scan.hpp"

namespace sondeline {

struct DecodedText {
    std::string utf8;         // without byte order mark
    bool from_latin = false;  // was not UTF-8 and is read as Windows-1252
};

// UTF-8 with or without byte order mark, UTF-16 with byte order mark, else Windows-1252. Empty when
// the bytes are no text: they hold NUL characters after decoding.
std::optional<DecodedText> decode_text(std::string_view bytes);

// The text as valid UTF-8: each invalid byte becomes U+FFFD, each control character but tab and
// line end a blank.
std::string clean_utf8(std::string_view text);

// For matching headers, sheet names and words: lower case, with blanks, hyphens and underscores as
// one blank, and none at the ends.
std::string normalised(std::string_view text);

// The word of the tables for a usual other one, "manhole" or "septic tank"; else the same word.
// `word` normalised.
std::string_view table_word(std::string_view word);

std::string lower_case(std::string_view text);  // ASCII letters only

// The text in quotes, on one line, cut to a readable length.
std::string shown(std::string_view text);

// "a, b and c".
std::string listed(const std::vector<std::string>& words);

}  // namespace sondeline
