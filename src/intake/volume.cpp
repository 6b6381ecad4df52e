#include "intake/volume.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <utility>

#include "sondeline/terms.hpp"

#include "intake/text.hpp"

namespace sondeline {

namespace {

// Where the figure ends and the unit begins.
std::size_t end_of_figure(std::string_view typed) {
    return std::min(typed.find_first_not_of("+-0123456789.,"), typed.size());
}

bool all_digits(std::string_view text, std::size_t from, std::size_t to) {
    return from < to && text.find_first_not_of("0123456789", from) >= to;
}

// "1,000" as 1000: one to three digits, then groups of exactly three behind commas. Anything else
// stays as it is.
std::string without_thousands_commas(std::string_view figure) {
    const std::size_t whole = std::min(figure.find('.'), figure.size());
    std::size_t comma = figure.substr(0, whole).find(',');  // npos is beyond 3
    if (comma > 3 || !all_digits(figure, 0, comma)) {
        return std::string(figure);
    }
    std::string out(figure.substr(0, comma));
    while (comma < whole) {
        const std::size_t next = comma + 4;
        if (next > whole || !all_digits(figure, comma + 1, next)) return std::string(figure);
        if (next < whole && figure[next] != ',') return std::string(figure);
        out += figure.substr(comma + 1, 3);
        comma = next;
    }
    return out.append(figure.substr(whole));
}

std::optional<double> seconds_in(std::string_view word) {
    static constexpr std::array<std::pair<std::string_view, double>, 12> kTimes{{
        {"day", 86400.0},
        {"d", 86400.0},
        {"hour", 3600.0},
        {"hr", 3600.0},
        {"h", 3600.0},
        {"minute", 60.0},
        {"min", 60.0},
        {"m", 60.0},
        {"second", 1.0},
        {"sec", 1.0},
        {"s", 1.0},
        {"24h", 86400.0},
    }};
    const std::string cleaned = lower_case(trim(word));
    for (const auto& [name, seconds] : kTimes) {
        if (name == cleaned) return seconds;
    }
    return std::nullopt;
}

// `gpd` and `gpm` are the trade's short forms.
std::string written_out(std::string_view unit) {
    std::string cleaned = lower_case(trim(unit));
    if (cleaned == "gpd") return "gal/day";
    if (cleaned == "gpm") return "gal/min";
    if (cleaned == "lpm") return "l/min";
    const std::size_t per = cleaned.find(" per ");
    if (per == std::string::npos) return cleaned;
    return cleaned.substr(0, per) + "/" + cleaned.substr(per + 5);
}

}  // namespace

std::optional<double> parse_volume_m3(std::string_view text, std::string_view bare_unit,
                                      bool decimal_comma) {
    static constexpr std::array<std::pair<std::string_view, double>, 27> kUnits{{
        {"gal", m3_per_us_gallon},
        {"gals", m3_per_us_gallon},
        {"gallon", m3_per_us_gallon},
        {"gallons", m3_per_us_gallon},
        {"usgal", m3_per_us_gallon},
        {"usgallon", m3_per_us_gallon},
        {"usgallons", m3_per_us_gallon},
        {"impgal", 4.54609e-3},
        {"imperialgallons", 4.54609e-3},
        {"l", 1e-3},
        {"litre", 1e-3},
        {"litres", 1e-3},
        {"liter", 1e-3},
        {"liters", 1e-3},
        {"ltr", 1e-3},
        {"ml", 1e-6},
        {"m3", 1.0},
        {"m³", 1.0},
        {"m^3", 1.0},
        {"cubicmetres", 1.0},
        {"cubicmeters", 1.0},
        {"cum", 1.0},
        {"ft3", 0.028316846592},
        {"ft³", 0.028316846592},
        {"ft^3", 0.028316846592},
        {"cubicfeet", 0.028316846592},
        {"cuft", 0.028316846592},
    }};
    const std::string_view typed = trim(text);
    const std::size_t end = end_of_figure(typed);
    const std::string_view figure = typed.substr(0, end);
    const auto value = parse_number(
        decimal_comma ? std::string(figure) : without_thousands_commas(figure), decimal_comma);
    std::string unit;
    for (const char c : lower_case(end < typed.size() ? typed.substr(end) : bare_unit)) {
        if (c != ' ' && c != '.') unit += c;
    }
    if (!value) return std::nullopt;
    for (const auto& [name, cubic_metres] : kUnits) {
        if (name == unit) return *value * cubic_metres;
    }
    return std::nullopt;
}

std::optional<double> parse_flow_m3_per_s(std::string_view text, std::string_view bare_unit,
                                          bool decimal_comma) {
    const std::string_view typed = trim(text);
    const std::size_t end = end_of_figure(typed);
    const std::string unit = written_out(end < typed.size() ? typed.substr(end) : bare_unit);
    const std::size_t stroke = unit.find('/');
    if (stroke == std::string::npos) return std::nullopt;
    const auto volume =
        parse_volume_m3(typed.substr(0, end), unit.substr(0, stroke), decimal_comma);
    const auto seconds = seconds_in(std::string_view(unit).substr(stroke + 1));
    if (!volume || !seconds) return std::nullopt;
    return *volume / *seconds;
}

}  // namespace sondeline
