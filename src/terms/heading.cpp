#include <array>
#include <cmath>
#include <numbers>

#include "sondeline/terms.hpp"

#include "terms/scan.hpp"

namespace sondeline {

namespace {

constexpr double kPi = std::numbers::pi;

// Brings an angle into [0, turn). Adding a turn to a tiny negative angle rounds to the turn itself.
double wrapped(double rad, double turn) {
    double r = std::fmod(rad, turn);
    if (r < 0.0) r += turn;
    return r >= turn ? 0.0 : r + 0.0;
}

double radians(double degrees) {
    return degrees * kPi / 180.0;
}

// Minutes or seconds with their mark; empty, and `text` left alone, when none stand there.
std::optional<double> take_sixtieths(std::string_view& text, std::string_view mark,
                                     bool decimal_comma) {
    std::string_view rest = text;
    skip_blanks(rest);
    const auto value = take_number(rest, decimal_comma);
    skip_blanks(rest);
    if (!value || *value >= 60.0 || !take(rest, mark)) return std::nullopt;
    text = rest;
    return value;
}

// `40.5`, `40.5°`, `40 deg`, `45° 30' 15"`: degrees.
std::optional<double> take_degrees(std::string_view& text, bool decimal_comma) {
    skip_blanks(text);
    auto degrees = take_number(text, decimal_comma);
    if (!degrees) return std::nullopt;
    skip_blanks(text);
    const bool marked =
        take(text, "degrees") || take(text, "deg.") || take(text, "deg") || take(text, "d");
    if (marked) {
        if (const auto minutes = take_sixtieths(text, "'", decimal_comma)) {
            *degrees += *minutes / 60.0;
            if (const auto seconds = take_sixtieths(text, "\"", decimal_comma)) {
                *degrees += *seconds / 3600.0;
            }
        }
    }
    skip_blanks(text);
    return degrees;
}

// n, e, s or w, also written out.
char take_quarter(std::string_view& text) {
    static constexpr std::array<std::string_view, 4> kWords{"north", "east", "south", "west"};
    skip_blanks(text);
    for (const std::string_view word : kWords) {
        if (take(text, word) || take(text, word.substr(0, 1))) return word.front();
    }
    return '\0';
}

// Points of the compass: n, ne, nne …
std::optional<double> compass_point(std::string_view text) {
    static constexpr std::array<std::string_view, 16> kPoints{"n",  "nne", "ne", "ene", "e",  "ese",
                                                              "se", "sse", "s",  "ssw", "sw", "wsw",
                                                              "w",  "wnw", "nw", "nnw"};
    std::string letters;
    while (!text.empty()) {
        const char quarter = take_quarter(text);
        if (quarter == '\0' || letters.size() == 3) return std::nullopt;
        letters += quarter;
        skip_blanks(text);
        take(text, "-");
    }
    for (std::size_t i = 0; i < kPoints.size(); ++i) {
        if (kPoints[i] == letters) return 22.5 * static_cast<double>(i);
    }
    return std::nullopt;
}

// `N45E`, `s 12.5 w`.
std::optional<double> quadrant_bearing(std::string_view text, bool decimal_comma) {
    const char from = take_quarter(text);
    if (from != 'n' && from != 's') return std::nullopt;
    const auto degrees = take_degrees(text, decimal_comma);
    if (!degrees || *degrees > 90.0) return std::nullopt;
    const char to = take_quarter(text);
    skip_blanks(text);
    if ((to != 'e' && to != 'w') || !text.empty()) return std::nullopt;
    const double turn = (from == 'n') == (to == 'e') ? *degrees : -*degrees;
    return (from == 'n' ? 0.0 : 180.0) + turn;
}

}  // namespace

DirectedHeading directed(double heading_rad) {
    return {wrapped(heading_rad, 2.0 * kPi)};
}

AxialHeading axial(double heading_rad) {
    return {wrapped(heading_rad, kPi)};
}

std::optional<double> parse_heading_rad(std::string_view text, bool decimal_comma) {
    const std::string cleaned = plain(text);
    std::string_view rest = trim(cleaned);
    if (rest.empty()) return std::nullopt;
    if (const auto point = compass_point(rest)) return directed(radians(*point)).rad;
    if (const auto bearing = quadrant_bearing(rest, decimal_comma)) {
        return directed(radians(*bearing)).rad;
    }
    const int sign = take_sign(rest);
    const auto degrees = take_degrees(rest, decimal_comma);
    if (!degrees || !rest.empty() || *degrees > 360.0) return std::nullopt;
    return directed(radians(sign * *degrees)).rad;
}

}  // namespace sondeline
