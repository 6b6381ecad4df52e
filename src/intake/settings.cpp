#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numbers>

#include "intake/digging.hpp"
#include "intake/map_crs.hpp"
#include "intake/tables.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 2> kColumns{"key", "value"};

constexpr std::array<std::string_view, 21> kKeys{"site",
                                                 "date",
                                                 "prepared by",
                                                 "prepared for",
                                                 "crs",
                                                 "length unit",
                                                 "vertical datum",
                                                 "ground datum",
                                                 "receiver offset",
                                                 "utc offset",
                                                 "north",
                                                 "declination",
                                                 "sonde setback",
                                                 "reel",
                                                 "sonde height",
                                                 "level ground",
                                                 "inclination downhill",
                                                 "depth bands",
                                                 "trench width",
                                                 "trench side slope",
                                                 "design flow"};

// The job table turned on its side: one row whose columns are the keys.
TableRow row_of_keys(const Table& job, FindingLog& log) {
    TableRow keys;
    for (const TableRow& row : job.rows) {
        const auto key = row.cells.find("key");
        const auto value = row.cells.find("value");
        if (keys.source.file.empty()) keys.source.file = row.source.file;
        if (key == row.cells.end()) {
            log.problem(row.source, "The row has a value but no key, so it was not used.",
                        "Write what the value is in the column key.");
            continue;
        }
        TextCell cell = value == row.cells.end() ? TextCell{} : value->second;
        std::string name = key->second.text;
        const std::size_t open = name.find_first_of("([");
        if (open != std::string::npos) {
            const std::size_t close = name.find_first_of(")]", open);
            cell.unit = trim(std::string_view(name).substr(
                open + 1, close == std::string::npos ? close : close - open - 1));
            name.erase(open);
        }
        name = normalised(name);
        if (std::ranges::find(kKeys, name) == kKeys.end()) {
            const std::vector<std::string> legal(kKeys.begin(), kKeys.end());
            log.caution(
                key->second.source,
                fmt::format("The key {} is not known and was not used.", shown(key->second.text)),
                fmt::format("Known keys are {}.", listed(legal)));
            continue;
        }
        if (cell.text.empty()) continue;
        cell.source.column = name;
        const auto [place, is_new] = keys.cells.try_emplace(name, cell);
        if (!is_new && place->second.text != cell.text) {
            log.caution(key->second.source,
                        fmt::format("The key {} is given again as {}; {} is used.", shown(name),
                                    shown(cell.text), shown(place->second.text)),
                        "Keep the right one only.");
        }
    }
    return keys;
}

// Seconds ahead of UTC of `+02:00`, `-5`, `Z`.
std::optional<double> parse_utc_offset_s(std::string_view text) {
    std::string cleaned = lower_case(trim(text));
    if (cleaned == "z" || cleaned == "utc") return 0.0;
    if (cleaned.starts_with("utc")) cleaned = trim(std::string_view(cleaned).substr(3));
    if (cleaned.starts_with("\u2212")) cleaned.replace(0, 3, "-");
    const double sign = cleaned.starts_with('-') ? -1.0 : 1.0;
    if (cleaned.starts_with('-') || cleaned.starts_with('+')) cleaned.erase(0, 1);
    const std::size_t colon = cleaned.find(':');
    const auto hours = parse_number(cleaned.substr(0, colon));
    const auto minutes = colon == std::string::npos ? std::optional<double>(0.0)
                                                    : parse_number(cleaned.substr(colon + 1));
    if (!hours || !minutes || *hours < 0.0 || *hours > 14.0) return std::nullopt;
    if (*minutes < 0.0 || *minutes >= 60.0) return std::nullopt;
    return sign * (*hours * 3600.0 + *minutes * 60.0);
}

// East positive: `3.5`, `-3.5`, `3.5 W`, `12° 30' E`.
std::optional<double> parse_declination_rad(std::string_view text, bool decimal_comma) {
    std::string cleaned(trim(text));
    double sign = 1.0;
    if (!cleaned.empty() &&
        std::string_view("wWeE").find(cleaned.back()) != std::string_view::npos) {
        sign = cleaned.back() == 'w' || cleaned.back() == 'W' ? -1.0 : 1.0;
        cleaned.pop_back();
        if (cleaned.starts_with('-')) return std::nullopt;
    }
    const auto heading = parse_heading_rad(cleaned, decimal_comma);
    const bool a_figure = !cleaned.empty() && (cleaned.front() == '-' || cleaned.front() == '+' ||
                                               cleaned.front() == '.' ||
                                               (cleaned.front() >= '0' && cleaned.front() <= '9'));
    if (!heading || !a_figure) return std::nullopt;
    const double signed_rad =
        *heading > std::numbers::pi ? *heading - 2.0 * std::numbers::pi : *heading;
    if (std::abs(signed_rad) > std::numbers::pi / 2.0) return std::nullopt;
    return sign * signed_rad;
}

// A transmitter sits in the camera's head or in the spring behind it, and rides within the pipe
// (common practice, no source).
constexpr double kFarthestSetback_m = 1.2;
constexpr double kHighestSonde_m = 0.6;

std::optional<double> length_up_to(const RowReader& row, std::string_view key, double most_m,
                                   std::string_view what) {
    const auto length = row.depth_m(key);
    if (!length) return std::nullopt;
    if (length->value <= most_m) return length->value;
    row.reject(*row.cell(key), fmt::format("{}: it would be {:.2f} m", what, length->value),
               "Write it with its unit, like 6 in or 15 cm.");
    return std::nullopt;
}

// As 2026-05-14, also of a spreadsheet's date cell. Empty when it is no such date.
std::string parse_date(std::string_view text) {
    using namespace std::chrono;
    const auto midnight_s = parse_clock_s("00:00", text.substr(0, text.find_first_of(" T")), 0.0);
    if (!midnight_s) return {};
    const year_month_day date(floor<days>(sys_seconds(seconds(std::llround(*midnight_s)))));
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

void read_dates(const RowReader& row, JobSettings& settings, Reading& reading) {
    if (const TextCell* cell = row.cell("date")) {
        settings.date = parse_date(cell->text);
        if (settings.date.empty())
            row.reject(*cell, "a date that can be read one way only", "Write it like 2026-05-14.");
    }
    if (const TextCell* cell = row.cell("utc offset")) {
        const auto offset_s = parse_utc_offset_s(cell->text);
        if (!offset_s) row.reject(*cell, "an offset from UTC", "Write it like -05:00.");
        settings.utc_offset_s = offset_s.value_or(0.0);
    }
    reading.date = settings.date;
    reading.utc_offset_s = settings.utc_offset_s;
}

void read_crs(const RowReader& row, JobSettings& settings, Reading& reading) {
    const TextCell* cell = row.cell("crs");
    if (cell == nullptr) return;
    if (normalised(cell->text) == "local") {
        settings.crs = "local";
        return;
    }
    const auto crs = epsg_crs(cell->text);
    if (!crs) {
        row.reject(*cell, "a coordinate system", "Write its code like EPSG:32617, or local.");
    } else if (crs->IsGeographic() != 0) {
        row.log().caution(cell->source,
                          fmt::format("{} counts in degrees; the map needs metres or feet, so its "
                                      "system was chosen from the positions.",
                                      shown(cell->text)),
                          "Give a projected system like EPSG:32617, or leave the key out.");
        reading.map_unit = MapUnit::degrees;
    } else if (crs->IsProjected() == 0) {
        row.reject(*cell, "a coordinate system of a map",
                   "Write its code like EPSG:32617, or local.");
    } else {
        settings.crs = "EPSG:" + std::string(trim(cell->text)).substr(5);
        reading.map_unit = MapUnit::crs_units;
        reading.crs_unit_m = crs->GetLinearUnits();
    }
}

void read_north(const RowReader& row, JobSettings& settings) {
    if (const TextCell* cell = row.cell("north")) {
        const std::string word = normalised(cell->text);
        if (word == "grid") {
            settings.north = NorthReference::grid;
        } else if (word == "magnetic") {
            settings.north = NorthReference::magnetic;
        } else if (word != "true") {
            row.reject(*cell, "a north", "Write true, grid or magnetic. It was taken as true.");
        }
    }
    if (const TextCell* cell = row.cell("declination")) {
        settings.declination_rad = parse_declination_rad(cell->text, cell->decimal_comma);
        if (!settings.declination_rad) {
            row.reject(*cell, "a declination", "Write degrees like 3.5 E or 3.5 W.");
        }
    }
    if (settings.north == NorthReference::magnetic && !settings.declination_rad) {
        row.log().problem(
            row.where("north"), "North is magnetic, but no usable declination is given.",
            "Write the declination of the site and year, like 3.5 W, in the job table.");
    }
}

bool read_level_ground(const RowReader& row) {
    const TextCell* cell = row.cell("level ground");
    if (cell == nullptr) return false;
    const std::string word = normalised(cell->text);
    if (word == "yes" || word == "true" || word == "1") return true;
    if (word != "no" && word != "false" && word != "0") {
        row.reject(*cell, "yes or no", "Write yes or no. It was taken as no.");
    }
    return false;
}

InclinationSign read_inclination_sign(const RowReader& row) {
    const TextCell* cell = row.cell("inclination downhill");
    if (cell == nullptr) return InclinationSign::not_said;
    const std::string word = normalised(cell->text);
    if (word == "positive" || word == "+") return InclinationSign::downhill_positive;
    // Blanks, hyphens and underscores are one in names.
    if (word == "negative" || trim(cell->text) == "-") return InclinationSign::downhill_negative;
    row.reject(*cell, "positive or negative",
               "Write which sign the camera's level shows where the head points downhill.");
    return InclinationSign::not_said;
}

}  // namespace

const TableForm kJobForm{"job", kColumns};

Reading reading_from(const Table& job, const Table& runs) {
    Reading reading;
    const auto say = [&](LengthUnit unit) {
        reading.bare_unit = unit;
        reading.bare_length_m = metres_per(unit);
        reading.bare_unit_open = false;
    };
    for (const TableRow& row : job.rows) {
        const auto key = row.cells.find("key");
        const auto value = row.cells.find("value");
        if (key == row.cells.end() || value == row.cells.end()) continue;
        if (normalised(key->second.text) != "length unit") continue;
        if (const auto unit = parse_length_unit(value->second.text)) {
            say(*unit);
            reading.bare_unit_assumed = false;
            return reading;
        }
    }
    for (const TableRow& row : runs.rows) {
        const auto cell = row.cells.find("counter unit");
        if (cell == row.cells.end()) continue;
        const auto unit = parse_length_unit(cell->second.text);
        if (!unit) continue;
        reading.bare_unit_open = false;
        if (*unit == LengthUnit::metre) continue;
        say(*unit);
        if (*unit == LengthUnit::foot) break;
    }
    return reading;
}

JobSettings read_settings(const Table& job, const std::string& folder_name, Reading& reading,
                          FindingLog& log) {
    const TableRow keys = row_of_keys(job, log);
    const RowReader row(keys, reading, log);
    JobSettings settings;
    settings.site = row.has("site") ? row.text("site") : folder_name;
    settings.prepared_by = row.text("prepared by");
    settings.prepared_for = row.text("prepared for");
    settings.reel = row.text("reel");
    if (row.has("vertical datum")) settings.vertical_datum = row.text("vertical datum");
    settings.ground_datum = row.text("ground datum");
    if (const auto offset = row.accuracy_m("receiver offset")) {
        settings.receiver_offset_m = offset->value;
    }
    if (const TextCell* cell = row.cell("length unit")) {
        settings.length_unit = parse_length_unit(cell->text);
        if (!settings.length_unit) row.reject(*cell, "a unit of length", "Write ft, us-ft or m.");
    }
    read_dates(row, settings, reading);
    read_crs(row, settings, reading);
    read_north(row, settings);
    settings.sonde_setback_m = length_up_to(row, "sonde setback", kFarthestSetback_m,
                                            "how far a transmitter lies behind the lens")
                                   .value_or(0.0);
    settings.sonde_height_m =
        length_up_to(row, "sonde height", kHighestSonde_m, "a height within a pipe");
    settings.level_ground = read_level_ground(row);
    settings.inclination_sign = read_inclination_sign(row);
    read_digging(row, settings);
    if (const auto flow = row.flow_m3_per_s("design flow")) {
        settings.design_flow_m3_per_s = flow->value;
    }
    return settings;
}

}  // namespace sondeline
