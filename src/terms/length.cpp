#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "sondeline/terms.hpp"

#include "terms/scan.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double kSurveyFoot = 1200.0 / 3937.0;

constexpr std::array<std::string_view, 6> kMetreWords{"m",     "metre",  "metres",
                                                      "meter", "meters", "mtr"};
constexpr std::array<std::string_view, 6> kFootWords{"ft", "foot",  "feet",
                                                     "'",  "intft", "internationalfoot"};
constexpr std::array<std::string_view, 8> kSurveyFootWords{
    "usft", "ftus", "usfoot", "usfeet", "ussurveyfoot", "ussurveyfeet", "surveyfoot", "surveyfeet"};

// The words are compared without blanks, hyphens, underscores and full stops.
std::string bare_word(std::string_view word) {
    std::string bare;
    for (const char c : plain(word)) {
        if (c != ' ' && c != '-' && c != '_' && c != '.' && c != '\t') bare += c;
    }
    return bare;
}

bool among(const auto& words, std::string_view word) {
    for (const std::string_view known : words) {
        if (known == word) return true;
    }
    return false;
}

struct Quantity {
    double value = 0.0;
    bool whole = false;  // written without decimals or fraction
};

// `n/d`, both whole.
std::optional<double> take_fraction(std::string_view& text) {
    std::string_view rest = text;
    const auto top = take_number(rest, false);
    if (!top || *top != std::floor(*top)) return std::nullopt;
    skip_blanks(rest);
    if (!take(rest, "/")) return std::nullopt;
    skip_blanks(rest);
    const auto bottom = take_number(rest, false);
    if (!bottom || *bottom == 0.0 || *bottom != std::floor(*bottom)) return std::nullopt;
    text = rest;
    return *top / *bottom;
}

// `12.4`, `1/4`, `2 1/4` or `2-1/4`.
std::optional<Quantity> take_quantity(std::string_view& text, bool decimal_comma) {
    skip_blanks(text);
    if (const auto fraction = take_fraction(text)) return Quantity{*fraction, false};
    const std::string_view before = text;
    const auto number = take_number(text, decimal_comma);
    if (!number) return std::nullopt;
    const std::string_view written = before.substr(0, before.size() - text.size());
    const bool whole = written.find_first_not_of("0123456789") == std::string_view::npos;
    std::string_view rest = text;
    skip_blanks(rest);
    take(rest, "-");
    if (!whole || rest.size() == text.size()) return Quantity{*number, whole};
    skip_blanks(rest);
    const auto fraction = take_fraction(rest);
    if (!fraction) return Quantity{*number, whole};
    if (*fraction >= 1.0) return std::nullopt;
    text = rest;
    return Quantity{*number + *fraction, false};
}

// The word up to the next number. A hyphen that only joins feet to inches (`2'-6"`) is left out.
std::string_view take_unit_word(std::string_view& text) {
    const std::size_t end = std::min(text.find_first_of("0123456789"), text.size());
    std::string_view word = trim(text.substr(0, end));
    text.remove_prefix(end);
    if (!text.empty() && word.ends_with('-')) word = trim(word.substr(0, word.size() - 1));
    return word;
}

// The inches behind whole feet; the unit may be left out, as in `2' 6`.
std::optional<double> inches_after_feet(std::string_view text, bool decimal_comma) {
    const auto inches = take_quantity(text, decimal_comma);
    if (!inches || inches->value >= 12.0) return std::nullopt;
    const std::string_view word = take_unit_word(text);
    if (!text.empty()) return std::nullopt;
    if (!word.empty() && parse_unit_in_metres(word) != inch_m) return std::nullopt;
    return inches->value;
}

}  // namespace

double metres_per(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::metre: return 1.0;
        case LengthUnit::foot: return foot_m;
        case LengthUnit::us_survey_foot: return kSurveyFoot;
    }
    return 1.0;
}

std::string_view unit_symbol(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::metre: return "m";
        case LengthUnit::foot: return "ft";
        case LengthUnit::us_survey_foot: return "us-ft";
    }
    return "";
}

std::optional<LengthUnit> parse_length_unit(std::string_view word) {
    const std::string bare = bare_word(word);
    if (among(kMetreWords, bare)) return LengthUnit::metre;
    if (among(kFootWords, bare) || bare == "internationalfeet") return LengthUnit::foot;
    if (among(kSurveyFootWords, bare)) return LengthUnit::us_survey_foot;
    return std::nullopt;
}

std::optional<double> parse_unit_in_metres(std::string_view word) {
    if (const auto unit = parse_length_unit(word)) return metres_per(*unit);
    static constexpr std::array<std::pair<std::string_view, double>, 20> kOthers{{
        {"in", inch_m},        {"inch", inch_m},       {"inches", inch_m},
        {"\"", inch_m},        {"cm", 0.01},           {"centimetre", 0.01},
        {"centimetres", 0.01}, {"centimeter", 0.01},   {"centimeters", 0.01},
        {"mm", 0.001},         {"millimetre", 0.001},  {"millimetres", 0.001},
        {"millimeter", 0.001}, {"millimeters", 0.001}, {"yd", 0.9144},
        {"yds", 0.9144},       {"yard", 0.9144},       {"yards", 0.9144},
        {"ins", inch_m},       {"cms", 0.01},
    }};
    const std::string bare = bare_word(word);
    for (const auto& [name, metres] : kOthers) {
        if (name == bare) return metres;
    }
    return std::nullopt;
}

std::optional<double> parse_length_m(std::string_view text, double metres_per_bare_unit,
                                     bool decimal_comma) {
    const std::string cleaned = plain(text);
    std::string_view rest = trim(cleaned);
    const double sign = take_sign(rest);
    const auto first = take_quantity(rest, decimal_comma);
    if (!first) return std::nullopt;
    const std::string_view word = take_unit_word(rest);
    double metres = first->value * metres_per_bare_unit;
    if (!word.empty()) {
        const auto unit_m = parse_unit_in_metres(word);
        if (!unit_m) return std::nullopt;
        metres = first->value * *unit_m;
        if (!rest.empty()) {
            const auto inches = inches_after_feet(rest, decimal_comma);
            if (!inches || *unit_m != foot_m || !first->whole) return std::nullopt;
            metres += *inches * inch_m;
        }
    } else if (!rest.empty()) {
        return std::nullopt;
    }
    if (!std::isfinite(metres)) return std::nullopt;
    return sign * metres;
}

std::optional<double> parse_number(std::string_view text, bool decimal_comma) {
    const std::string cleaned = plain(text);
    std::string_view rest = trim(cleaned);
    const double sign = take_sign(rest);
    const auto value = take_number(rest, decimal_comma);
    if (!value || !rest.empty()) return std::nullopt;
    return sign * *value;
}

}  // namespace sondeline
