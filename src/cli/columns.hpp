// Rows of text in columns, for a terminal.
#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <vector>

namespace sondeline::cli {

// Characters, not bytes, of UTF-8 text.
std::size_t shown_width(const std::string& text);

// The text with blanks behind it, so that it is `width` characters wide.
std::string padded(const std::string& text, std::size_t width);

// Columns as wide as their widest cell, each row on a line of its own behind two blanks.
template <std::size_t N>
std::string aligned_columns(const std::vector<std::array<std::string, N>>& rows) {
    std::array<std::size_t, N> width{};
    for (const auto& row : rows) {
        for (std::size_t i = 0; i < N; ++i) width[i] = std::max(width[i], shown_width(row[i]));
    }
    std::string text;
    for (const auto& row : rows) {
        std::string line = " ";
        for (std::size_t i = 0; i < N; ++i) line += " " + padded(row[i], width[i] + 1);
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
    return text;
}

}  // namespace sondeline::cli
