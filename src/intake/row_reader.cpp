#include "intake/row_reader.hpp"

#include <cmath>

#include "intake/volume.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// Wider than any pipe a push camera goes into (24 in; common practice, no source): such a figure is
// in another unit, or has a digit too many. Narrower than any that a head goes into likewise.
constexpr double kWidestPipeM = 0.62;
constexpr double kNarrowestPipeM = 0.02;

constexpr std::string_view kLengthHelp = "Write it like 2' 6\", 30 in or 0.76 m.";

MaybeCell<double> made(double value, const TextCell& cell) {
    return Cell<double>{value, cell.source};
}

// A figure that stays the same whatever a bare number means has its unit with it.
bool has_unit(const std::string& text) {
    return parse_length_m(text, 1.0, true) == parse_length_m(text, 2.0, true);
}

}  // namespace

const TextCell* RowReader::cell(std::string_view column) const {
    const auto found = row_.cells.find(column);
    return found == row_.cells.end() ? nullptr : &found->second;
}

SourceCell RowReader::where(std::string_view column) const {
    if (const TextCell* found = cell(column)) return found->source;
    return {row_.source.file, row_.source.row, std::string(column)};
}

std::string RowReader::text(std::string_view column) const {
    const TextCell* found = cell(column);
    return found == nullptr ? std::string() : found->text;
}

void RowReader::reject(const TextCell& cell, std::string_view what, std::string what_to_do) const {
    log_.problem(cell.source,
                 fmt::format("The {} {} is not {}.", cell.source.column, shown(cell.text), what),
                 std::move(what_to_do));
}

void RowReader::reject_header_unit(const TextCell& cell, std::string_view legal) const {
    if (!log_.first_time(cell.source, "unit")) return;
    log_.problem(cell.source,
                 fmt::format("The unit {} in the header is not known; the column was not used.",
                             shown(cell.unit)),
                 fmt::format("Use one of: {}.", legal));
}

bool RowReader::header_unit_is(const TextCell& cell, std::string_view units) const {
    const std::string unit = lower_case(cell.unit);
    if (unit.empty() || fmt::format(", {},", units).find(", " + unit + ",") != std::string::npos) {
        return true;
    }
    reject_header_unit(cell, units);
    return false;
}

bool RowReader::is_bare_length(const TextCell& cell) {
    return cell.unit.empty() && !has_unit(cell.text);
}

MaybeCell<double> RowReader::length_m(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    double bare_m = reading_.bare_length_m;
    if (!found->unit.empty()) {
        const auto unit_m = parse_unit_in_metres(found->unit);
        if (!unit_m) {
            reject_header_unit(*found, "m, cm, mm, ft, in, yd, us-ft");
            return std::nullopt;
        }
        bare_m = *unit_m;
    }
    const auto metres = parse_length_m(found->text, bare_m, found->decimal_comma);
    if (!metres) {
        reject(*found, "a length", std::string(kLengthHelp));
        return std::nullopt;
    }
    if (*metres != 0.0 && is_bare_length(*found)) reading_.bare_length_met = true;
    return made(*metres, *found);
}

MaybeCell<double> RowReader::height_m(std::string_view column) const {
    auto length = length_m(column);
    if (!length || length->value == 0.0 || !reading_.bare_heights_doubted ||
        !is_bare_length(*cell(column))) {
        return length;
    }
    reading_.bare_height_left_out = true;
    return std::nullopt;
}

MaybeCell<double> RowReader::depth_m(std::string_view column) const {
    auto length = height_m(column);
    if (!length || length->value >= 0.0) return length;
    reject(*cell(column), "a depth: it is negative",
           "Give depths downward from the ground as positive figures.");
    return std::nullopt;
}

MaybeCell<double> RowReader::accuracy_m(std::string_view column) const {
    auto length = length_m(column);
    if (!length || length->value > 0.0) return length;
    reject(*cell(column), "an accuracy: it must be greater than zero",
           "Give one standard deviation, or leave the cell empty; the default was used.");
    return std::nullopt;
}

MaybeCell<double> RowReader::accuracy_rad(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr || !header_unit_is(*found, "deg, degrees, °")) return std::nullopt;
    std::string_view text = found->text;
    for (const std::string_view unit : {"degrees", "deg", "°"}) {
        if (text.ends_with(unit)) text.remove_suffix(unit.size());
    }
    const auto degrees = parse_number(text, found->decimal_comma);
    if (degrees && *degrees > 0.0 && *degrees <= 180.0) return made(*degrees * degree_rad, *found);
    reject(
        *found, "an accuracy in degrees: it must be greater than zero",
        "Give one standard deviation in degrees, or leave the cell empty; the default was used.");
    return std::nullopt;
}

MaybeCell<double> RowReader::diameter_m(std::string_view column) const {
    auto length = length_m(column);
    if (!length) return std::nullopt;
    const TextCell& found = *cell(column);
    if (length->value >= kNarrowestPipeM && length->value <= kWidestPipeM) return length;
    reject(found, fmt::format("a pipe's diameter: it would be {:.2f} m", length->value),
           "Write it with its unit, like 4 in or 110 mm.");
    return std::nullopt;
}

MaybeCell<double> RowReader::number(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const auto value = parse_number(found->text, found->decimal_comma);
    if (value) return made(*value, *found);
    reject(*found, "a number", "Write a plain number like 12.4.");
    return std::nullopt;
}

MaybeCell<double> RowReader::heading_rad(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr || !header_unit_is(*found, "deg, degrees, °")) return std::nullopt;
    const auto heading = parse_heading_rad(found->text, found->decimal_comma);
    if (heading) return made(*heading, *found);
    reject(*found, "a direction",
           "Write degrees clockwise from north like 40, or a bearing like N45E.");
    return std::nullopt;
}

MaybeCell<double> RowReader::video_time_s(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr ||
        !header_unit_is(*found, "s, sec, secs, seconds, h:mm:ss, hh:mm:ss, m:ss, mm:ss")) {
        return std::nullopt;
    }
    const auto time = parse_video_time_s(found->text);
    if (time) return made(*time, *found);
    reject(*found, "a time into the footage", "Write seconds like 75, or 1:15, or 0:01:15.");
    return std::nullopt;
}

MaybeCell<double> RowReader::clock_s(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const bool lacks_date = reading_.date.empty() && !parse_clock_s(found->text, "", 0.0) &&
                            parse_clock_s(found->text, "2000-01-01", 0.0);
    if (!lacks_date) return clock_on_day_s(column, reading_.date);
    if (log_.first_time(found->source, "date")) {
        log_.problem(found->source,
                     fmt::format("The {} {} is not a full time: the job has no date. No time of "
                                 "this column without one was used.",
                                 found->source.column, shown(found->text)),
                     "Write the date in the job table, like 2026-05-14.");
    }
    return std::nullopt;
}

MaybeCell<double> RowReader::clock_on_day_s(std::string_view column, std::string_view date) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const auto clock = parse_clock_s(found->text, date, reading_.utc_offset_s);
    if (clock) return made(*clock, *found);
    reject(*found, "a clock time", "Write it like 10:32:05 or 2026-05-14T10:32:05+02:00.");
    return std::nullopt;
}

MaybeCell<double> RowReader::volume_m3(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const bool feet = reading_.bare_unit != LengthUnit::metre;
    const std::string bare = found->unit.empty() && feet ? "gal" : found->unit;
    const auto volume = parse_volume_m3(found->text, bare, found->decimal_comma);
    if (!volume || *volume < 0.0) {
        const bool bare_number = parse_number(found->text, found->decimal_comma).has_value();
        reject(*found, bare_number && !volume ? "a volume: it has no unit" : "a volume",
               "Write it with its unit, like 1000 gal, 20 L or 3.8 m3.");
        return std::nullopt;
    }
    if (found->unit.empty() && parse_number(found->text, found->decimal_comma) &&
        log_.first_time(found->source, "gallons")) {
        log_.info(found->source, "Volumes without a unit were read as US gallons.",
                  "Put the unit in the header, like capacity (gal).");
    }
    return made(*volume, *found);
}

MaybeCell<double> RowReader::flow_m3_per_s(std::string_view column) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const auto flow = parse_flow_m3_per_s(found->text, found->unit, found->decimal_comma);
    if (flow && *flow > 0.0) return made(*flow, *found);
    reject(*found, "a flow", "Write it with its unit, like 450 gal/day, 8 gal/min or 0.5 L/s.");
    return std::nullopt;
}

MaybeCell<double> RowReader::counter(std::string_view column,
                                     std::optional<LengthUnit> unit) const {
    const TextCell* found = cell(column);
    if (found == nullptr) return std::nullopt;
    const LengthUnit of_counter = unit.value_or(reading_.bare_unit);
    double bare_m = metres_per(of_counter);
    if (!found->unit.empty()) {
        const auto unit_m = parse_unit_in_metres(found->unit);
        if (!unit_m) {
            reject_header_unit(*found, "m, cm, ft, in, us-ft");
            return std::nullopt;
        }
        bare_m = *unit_m;
    }
    if (const auto plain = parse_number(found->text, found->decimal_comma)) {
        return made(
            bare_m == metres_per(of_counter) ? *plain : *plain * bare_m / metres_per(of_counter),
            *found);
    }
    if (const auto metres = parse_length_m(found->text, bare_m, found->decimal_comma)) {
        return made(*metres / metres_per(of_counter), *found);
    }
    reject(*found, "a reading of the counter", "Write what the counter showed, like 41.3.");
    return std::nullopt;
}

}  // namespace sondeline
