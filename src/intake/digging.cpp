#include "intake/digging.hpp"

#include <array>

namespace sondeline {

namespace {

struct Range {
    double least_m;
    double most_m;

    [[nodiscard]] bool has(double length_m) const {
        return length_m >= least_m && length_m <= most_m;
    }
};

// How wide trenches for drains are dug; with its unit beside it a narrower or wider one is believed
// (common practice, no source).
constexpr Range kWidth{0.3, 1.5};
constexpr Range kWidthWithUnit{0.05, 5.0};
// Where the deepest of the bands ends; with its unit any is believed (common practice, no source).
constexpr Range kDeepestBand{1.0, 8.0};

// "in inches ('24 in') or centimetres ('24 cm')": the units by which the figure typed is a usual
// one; or empty.
std::string units_that_fit(std::string_view typed, bool decimal_comma, const Range& usual) {
    constexpr std::array<std::pair<std::string_view, std::string_view>, 5> units{
        {{"in", "inches"},
         {"ft", "feet"},
         {"m", "metres"},
         {"cm", "centimetres"},
         {"mm", "millimetres"}}};
    std::string fit;
    for (const auto& [symbol, name] : units) {
        const double unit_m = parse_unit_in_metres(symbol).value_or(1.0);
        const auto length_m = parse_length_m(typed, unit_m, decimal_comma);
        if (!length_m || !usual.has(*length_m)) continue;
        fit += fmt::format("{}{} ('{} {}')", fit.empty() ? "in " : " or ", name, typed, symbol);
    }
    return fit;
}

// `typed` is the figure that is not usual; `kept` what holds instead.
std::string what_to_do(std::string_view typed, bool decimal_comma, const Range& usual,
                       std::string_view kept) {
    const std::string fit = units_that_fit(typed, decimal_comma, usual);
    return fmt::format("Write it with its unit{}. {} taken.",
                       fit.empty() ? "" : "; it would be usual " + fit, kept);
}

void read_width(const RowReader& row, JobSettings& settings) {
    const auto width = row.depth_m("trench width");
    if (!width) return;
    const TextCell& cell = *row.cell("trench width");
    const bool bare = RowReader::is_bare_length(cell);
    if ((bare ? kWidth : kWidthWithUnit).has(width->value)) {
        settings.trench_width_m = width->value;
        return;
    }
    constexpr std::string_view kept = "The usual width, 2 ft (0.61 m), was";
    row.reject(cell,
               fmt::format("a width that drains are dug: it would be {:.2f} m ({:.1f} ft)",
                           width->value, width->value / metres_per(LengthUnit::foot)),
               bare ? what_to_do(cell.text, cell.decimal_comma, kWidth, kept)
                    : fmt::format("Write it like 2 ft or 60 cm. {} taken.", kept));
}

struct Limits {
    std::vector<double> limits_m;  // rising; empty when the cell is no such list
    TextCell deepest;
};

// "4 ft; 5 ft; 10 ft"
Limits parse_limits(const TextCell& cell, double metres_per_bare_unit) {
    constexpr std::size_t most = 20;
    Limits found{{}, cell};
    std::string_view rest = cell.text;
    while (true) {
        const std::size_t end = rest.find(';');
        found.deepest.text = trim(rest.substr(0, end));
        const auto limit_m =
            parse_length_m(found.deepest.text, metres_per_bare_unit, cell.decimal_comma);
        const double least_m = found.limits_m.empty() ? 0.0 : found.limits_m.back();
        if (!limit_m || *limit_m <= least_m || found.limits_m.size() == most) return {};
        found.limits_m.push_back(*limit_m);
        if (end == std::string_view::npos) return found;
        rest.remove_prefix(end + 1);
    }
}

void read_bands(const RowReader& row, JobSettings& settings) {
    const TextCell* cell = row.cell("depth bands");
    if (cell == nullptr) return;
    constexpr std::string_view kept = "The usual bands, to 4 ft, 5 ft and 3 m, were";
    const Limits found =
        parse_limits(*cell, parse_unit_in_metres(cell->unit).value_or(row.reading().bare_length_m));
    if (found.limits_m.empty()) {
        row.reject(*cell, "a list of depths that rise",
                   fmt::format("Write it like 4 ft; 5 ft; 10 ft. {} taken.", kept));
        return;
    }
    const double deepest_m = found.limits_m.back();
    if (RowReader::is_bare_length(found.deepest) && !kDeepestBand.has(deepest_m)) {
        row.reject(
            *cell,
            fmt::format("a list of depths that drains are dug: the deepest would be {:.2f} m "
                        "({:.1f} ft)",
                        deepest_m, deepest_m / metres_per(LengthUnit::foot)),
            what_to_do(found.deepest.text, cell->decimal_comma, kDeepestBand, kept));
        return;
    }
    settings.depth_bands_m = found.limits_m;
}

void read_side_slope(const RowReader& row, JobSettings& settings) {
    const auto slope = row.number("trench side slope");
    if (!slope) return;
    constexpr double flattest = 10.0;
    if (slope->value >= 0.0 && slope->value <= flattest) {
        settings.trench_side_slope = slope->value;
    } else if (const TextCell* cell = row.cell("trench side slope")) {
        row.reject(*cell, "a side slope",
                   "Write how far the side goes out for each unit down, like 1.5; 0 is "
                   "vertical, which was taken.");
    }
}

}  // namespace

void read_digging(const RowReader& row, JobSettings& settings) {
    read_bands(row, settings);
    read_width(row, settings);
    read_side_slope(row, settings);
}

}  // namespace sondeline
