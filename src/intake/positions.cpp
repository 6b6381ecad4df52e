#include <cmath>

#include "intake/tables.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// Degrees of `-84.2131`, `84.2131 W`, `84° 12' 47" W`; empty for anything else.
std::optional<double> parse_degrees(std::string_view text, std::string_view positive,
                                    std::string_view negative, bool decimal_comma) {
    std::string cleaned = lower_case(trim(text));
    double sign = 1.0;
    bool marked = false;
    for (const std::string_view hemisphere : {positive, negative}) {
        const bool behind = cleaned.ends_with(hemisphere);
        if (!behind && !cleaned.starts_with(hemisphere)) continue;
        marked = true;
        sign = hemisphere == negative ? -1.0 : 1.0;
        cleaned = trim(behind ? std::string_view(cleaned).substr(0, cleaned.size() - 1)
                              : std::string_view(cleaned).substr(1));
        break;
    }
    if (const auto plain = parse_number(cleaned, decimal_comma)) {
        if (marked && *plain < 0.0) return std::nullopt;
        return sign * *plain;
    }
    // Degrees, minutes and seconds are read as a heading is; that one turns minus signs about.
    if (cleaned.starts_with('-')) {
        if (marked) return std::nullopt;
        sign = -1.0;
        cleaned.erase(0, 1);
    }
    if (cleaned.empty() || cleaned.front() < '0' || cleaned.front() > '9') return std::nullopt;
    const auto heading = parse_heading_rad(cleaned, decimal_comma);
    if (!heading) return std::nullopt;
    return sign * *heading / degree_rad;
}

void lacks_partner(const RowReader& row, std::string_view given, std::string_view missing) {
    row.log().problem(
        row.where(given),
        fmt::format("The row has {} but no {}, so it has no position.", given, missing),
        fmt::format("Fill in {}, or leave both empty.", missing));
}

std::optional<TypedPosition> checked_degrees(const RowReader& row, TypedPosition position) {
    const bool nought = position.x == 0.0 && position.y == 0.0;
    if (nought) {
        row.log().problem(
            position.source,
            "Longitude and latitude are both 0, as a receiver without a position says.",
            "Measure the point again, or leave the cells empty.");
        return std::nullopt;
    }
    if (std::abs(position.y) <= 90.0 && std::abs(position.x) <= 180.0) return position;
    const bool exchanged = std::abs(position.x) <= 90.0 && std::abs(position.y) <= 180.0;
    const std::string what = fmt::format(
        "Longitude {:.6f} and latitude {:.6f} are not on the earth", position.x, position.y);
    if (!exchanged) {
        row.log().problem(position.source, what + ".",
                          "Give degrees: longitude -180 to 180, latitude -90 to 90.");
    } else if (row.log().first_time(position.source, "lon and lat exchanged")) {
        row.log().problem(
            position.source,
            what +
                "; they look exchanged. Every row of this table that looks so "
                "has no position; this is told once.",
            "Exchange the headings lon and lat if all rows are so, else the two cells "
            "of each such row.");
    }
    return std::nullopt;
}

std::optional<TypedPosition> read_degrees(const RowReader& row, std::string_view east,
                                          std::string_view north) {
    const TextCell* lon = row.cell(east);
    const TextCell* lat = row.cell(north);
    const auto x = parse_degrees(lon->text, "e", "w", lon->decimal_comma);
    const auto y = parse_degrees(lat->text, "n", "s", lat->decimal_comma);
    if (!x) row.reject(*lon, "a longitude", "Write degrees like -84.213140 (west is negative).");
    if (!y) row.reject(*lat, "a latitude", "Write degrees like 33.748210 (south is negative).");
    if (!x || !y) return std::nullopt;
    return checked_degrees(row, {true, *x, *y, lon->source});
}

// Local systems are in metres; those with a code keep their own unit, and bare numbers are in it.
std::optional<double> read_map_coordinate(const RowReader& row, std::string_view column) {
    const Reading& reading = row.reading();
    if (reading.map_unit == MapUnit::local_length) {
        const auto length = row.length_m(column);
        return length ? std::optional(length->value) : std::nullopt;
    }
    const TextCell& cell = *row.cell(column);
    const auto unit_m =
        cell.unit.empty() ? std::optional(reading.crs_unit_m) : parse_unit_in_metres(cell.unit);
    if (unit_m && *unit_m == reading.crs_unit_m) {
        if (const auto plain = parse_number(cell.text, cell.decimal_comma)) return plain;
    }
    const auto metres =
        unit_m ? parse_length_m(cell.text, *unit_m, cell.decimal_comma) : std::optional<double>();
    if (metres) return *metres / reading.crs_unit_m;
    row.reject(cell, "a coordinate of the map",
               "Write it as a plain number in the unit of the crs.");
    return std::nullopt;
}

}  // namespace

std::optional<TypedPosition> read_position(const RowReader& row) {
    const bool lon_lat = row.has("lon") && row.has("lat");
    const bool x_y = row.has("x") && row.has("y");
    if (lon_lat && x_y) {
        row.log().caution(row.where("x"),
                          "The row has lon and lat as well as x and y; lon and lat were used.",
                          "Give one of the two.");
    }
    if (lon_lat) return read_degrees(row, "lon", "lat");
    if (x_y && row.reading().map_unit == MapUnit::degrees) return read_degrees(row, "x", "y");
    if (x_y) {
        const auto x = read_map_coordinate(row, "x");
        const auto y = read_map_coordinate(row, "y");
        if (!x || !y) return std::nullopt;
        return TypedPosition{false, *x, *y, row.where("x")};
    }
    if (row.has("lon")) lacks_partner(row, "lon", "lat");
    if (row.has("lat")) lacks_partner(row, "lat", "lon");
    if (row.has("x")) lacks_partner(row, "x", "y");
    if (row.has("y")) lacks_partner(row, "y", "x");
    return std::nullopt;
}

}  // namespace sondeline
