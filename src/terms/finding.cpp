#include <cmath>

#include <fmt/format.h>

#include "sondeline/terms.hpp"

namespace sondeline {

namespace {

// Appends with a blank between.
void append(std::string& text, const std::string& more) {
    if (!text.empty()) text += ' ';
    text += more;
}

// 4:05.2, or 1:04:05.2 beyond an hour.
std::string time_into_footage(double time_s) {
    const auto tenths = std::llround(time_s * 10.0);
    const auto minutes = tenths / 600;
    const std::string seconds = fmt::format("{:02}.{}", tenths % 600 / 10, tenths % 10);
    if (minutes < 60) return fmt::format("{}:{}", minutes, seconds);
    return fmt::format("{}:{:02}:{}", minutes / 60, minutes % 60, seconds);
}

}  // namespace

std::string_view word(Severity severity) {
    switch (severity) {
        case Severity::info: return "info";
        case Severity::caution: return "caution";
        case Severity::problem: return "problem";
    }
    return "";
}

std::string describe(const Where& where, LengthUnit unit) {
    std::string table = where.file;
    if (where.row > 0) append(table, fmt::format("row {}", where.row));
    if (!where.column.empty()) append(table, "column " + where.column);

    std::string place;
    if (!where.run.empty()) append(place, "run " + where.run);
    if (!where.structure.empty()) append(place, "structure " + where.structure);
    if (where.station_m) {
        append(place,
               fmt::format("at {:.2f} {}", *where.station_m / metres_per(unit), unit_symbol(unit)));
    }
    if (where.time_s && *where.time_s >= 0.0 && *where.time_s < 1e9) {
        append(place, "at " + time_into_footage(*where.time_s) + " into the footage");
    }
    if (table.empty()) return place;
    return place.empty() ? table : table + ", " + place;
}

Where where_is(const SourceCell& cell) {
    Where where;
    where.file = cell.file;
    where.row = cell.row;
    where.column = cell.column;
    return where;
}

}  // namespace sondeline
