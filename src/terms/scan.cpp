#include "terms/scan.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace sondeline {

namespace {

constexpr std::string_view kBlanks = " \t\r\n\f\v";

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

constexpr std::array<std::pair<std::string_view, std::string_view>, 26> kSigns{{
    {"\u2032", "'"},    {"\u2018", "'"},    {"\u2019", "'"},    {"\u00b4", "'"},
    {"\u2033", "\""},   {"\u201c", "\""},   {"\u201d", "\""},   {"''", "\""},
    {"\u00b0", "d"},    {"\u00ba", "d"},    {"\u2212", "-"},    {"\u2010", "-"},
    {"\u2011", "-"},    {"\u2013", "-"},    {"\u2014", "-"},    {"\u00a0", " "},
    {"\u202f", " "},    {"\u2009", " "},    {"\u2044", "/"},    {"\u00bd", " 1/2"},
    {"\u00bc", " 1/4"}, {"\u00be", " 3/4"}, {"\u215b", " 1/8"}, {"\u215c", " 3/8"},
    {"\u215d", " 5/8"}, {"\u215e", " 7/8"},
}};

std::size_t count_digits(std::string_view text) {
    std::size_t n = 0;
    while (n < text.size() && is_digit(text[n])) ++n;
    return n;
}

// Length of `e-3` at the front of `text`; 0 when that is not what stands there.
std::size_t exponent_length(std::string_view text) {
    if (text.empty() || (text[0] != 'e' && text[0] != 'E')) return 0;
    const std::size_t sign = text.size() > 1 && (text[1] == '+' || text[1] == '-') ? 1 : 0;
    const std::size_t digits = count_digits(text.substr(1 + sign));
    return digits == 0 ? 0 : 1 + sign + digits;
}

}  // namespace

std::string_view trim(std::string_view text) {
    const std::size_t first = text.find_first_not_of(kBlanks);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(kBlanks) - first + 1);
}

std::string plain(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    while (!text.empty()) {
        bool known = false;
        for (const auto& [sign, replacement] : kSigns) {
            if (!take(text, sign)) continue;
            out += replacement;
            known = true;
            break;
        }
        if (known) continue;
        const char c = text.front();
        out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        text.remove_prefix(1);
    }
    return out;
}

void skip_blanks(std::string_view& text) {
    const std::size_t first = text.find_first_not_of(kBlanks);
    text.remove_prefix(first == std::string_view::npos ? text.size() : first);
}

bool take(std::string_view& text, std::string_view prefix) {
    if (!text.starts_with(prefix)) return false;
    text.remove_prefix(prefix.size());
    return true;
}

std::optional<double> take_number(std::string_view& text, bool decimal_comma) {
    const std::size_t whole = count_digits(text);
    std::string digits(text.substr(0, whole));
    std::size_t length = whole;
    if (length < text.size() && (text[length] == '.' || (decimal_comma && text[length] == ','))) {
        const std::size_t decimals = count_digits(text.substr(length + 1));
        if (whole + decimals == 0) return std::nullopt;
        digits += '.';
        digits += text.substr(length + 1, decimals);
        length += 1 + decimals;
    }
    if (length == 0) return std::nullopt;
    const std::size_t exponent = exponent_length(text.substr(length));
    digits += text.substr(length, exponent);
    double value = 0.0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc{} || end != digits.data() + digits.size() || !std::isfinite(value)) {
        return std::nullopt;
    }
    text.remove_prefix(length + exponent);
    return value;
}

std::optional<int> take_digits(std::string_view& text, int digits) {
    const auto n = static_cast<std::size_t>(digits);
    if (count_digits(text.substr(0, n)) != n) return std::nullopt;
    int value = 0;
    for (const char c : text.substr(0, n)) value = 10 * value + (c - '0');
    text.remove_prefix(n);
    return value;
}

int take_sign(std::string_view& text) {
    if (take(text, "-")) return -1;
    take(text, "+");
    return 1;
}

}  // namespace sondeline
