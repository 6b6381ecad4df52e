#include <algorithm>
#include <array>
#include <cmath>

#include "intake/tables.hpp"
#include "intake/volume.hpp"

namespace sondeline {

namespace {

constexpr std::array<std::string_view, 6> kColumns{"document", "dated", "item",
                                                   "of",       "value", "unit"};

constexpr std::array kItems{RecordItem::run_length,
                            RecordItem::total_trench_length,
                            RecordItem::number_of_laterals,
                            RecordItem::tank_capacity,
                            RecordItem::depth,
                            RecordItem::slope,
                            RecordItem::install_year};

// Metres per metre of `1 %`, `1:100`, `1/8 in/ft`, `10 mm/m`. A bare number could be a percentage
// or a ratio and is refused.
std::optional<double> parse_slope(const std::string& text, bool decimal_comma) {
    std::string_view rest = trim(text);
    if (rest.ends_with('%')) {
        const auto percent = parse_number(rest.substr(0, rest.size() - 1), decimal_comma);
        return percent ? std::optional(*percent / 100.0) : std::nullopt;
    }
    if (const std::size_t colon = rest.find(':'); colon != std::string_view::npos) {
        const auto rise = parse_number(rest.substr(0, colon), decimal_comma);
        const auto run = parse_number(rest.substr(colon + 1), decimal_comma);
        if (!rise || !run || *run <= 0.0) return std::nullopt;
        return *rise / *run;
    }
    std::string spelled = lower_case(rest);
    if (const std::size_t per = spelled.find(" per "); per != std::string::npos) {
        spelled.replace(per, 5, "/");
    }
    const std::size_t stroke = spelled.rfind('/');
    if (stroke == std::string::npos) return std::nullopt;
    const auto run_m = parse_unit_in_metres(spelled.substr(stroke + 1));
    const std::string rise = spelled.substr(0, stroke);
    const auto rise_m = parse_length_m(rise, 1.0, decimal_comma);
    // A rise without a unit of its own would change with what a bare number means.
    if (!run_m || !rise_m || rise_m != parse_length_m(rise, 2.0, decimal_comma))
        return std::nullopt;
    return *rise_m / *run_m;
}

struct Claimed {
    std::optional<double> value;
    std::string_view what;
    std::string_view help;
};

Claimed read_claim(RecordItem item, const RowReader& row, const std::string& written) {
    const TextCell& cell = *row.cell("value");
    const std::string unit = row.text("unit");
    const bool comma = cell.decimal_comma;
    switch (item) {
        case RecordItem::run_length:
        case RecordItem::total_trench_length:
        case RecordItem::depth: {
            if (unit.empty() && cell.unit.empty()) {
                const auto length = row.length_m("value");
                return {length ? std::optional(length->value) : std::nullopt, "", ""};
            }
            return {parse_length_m(written, 1.0, comma), "a length",
                    "Write it like 2' 6\", 30 in or 0.76 m."};
        }
        case RecordItem::tank_capacity: {
            if (unit.empty()) {
                const auto volume = row.volume_m3("value");
                return {volume ? std::optional(volume->value) : std::nullopt, "", ""};
            }
            return {parse_volume_m3(cell.text, unit, comma), "a volume",
                    "Write it with its unit, like 1000 gal or 3800 L."};
        }
        case RecordItem::number_of_laterals: {
            const auto count = parse_number(cell.text, comma);
            const bool whole = count && *count >= 0.0 && *count == std::floor(*count);
            return {whole ? count : std::nullopt, "a count", "Write a whole number."};
        }
        case RecordItem::install_year: {
            const auto year = parse_number(cell.text);
            const bool sane =
                year && *year >= 1800.0 && *year <= 2200.0 && *year == std::floor(*year);
            return {sane ? year : std::nullopt, "a year", "Write it with four digits."};
        }
        case RecordItem::slope:
            return {parse_slope(written, comma), "a slope",
                    "Write it with its unit, like 1 %, 1:100 or 1/8 in/ft."};
    }
    return {};
}

// "320 ft": the value with its unit, as it would be said.
std::string as_written(const RowReader& row) {
    std::string value = row.text("value");
    const TextCell* cell = row.cell("value");
    const std::string unit = row.has("unit") ? row.text("unit") : cell->unit;
    if (unit.empty() || lower_case(value).ends_with(lower_case(unit))) return value;
    return value + " " + unit;
}

}  // namespace

const TableForm kRecordsForm{"records", kColumns};

std::vector<RecordClaim> read_records(const Table& table, Reading& reading, FindingLog& log) {
    std::vector<RecordClaim> records;
    for (const TableRow& cells : table.rows) {
        const RowReader row(cells, reading, log);
        const auto item = std::ranges::find_if(
            kItems, [&](RecordItem known) { return normalised(row.text("item")) == word(known); });
        if (item == kItems.end()) {
            std::vector<std::string> legal;
            legal.reserve(kItems.size());
            for (const RecordItem known : kItems) legal.emplace_back(word(known));
            log.problem(row.where("item"),
                        fmt::format("The item {} is not known, so the row was not used.",
                                    shown(row.text("item"))),
                        fmt::format("Use one of: {}.", listed(legal)));
            continue;
        }
        if (!row.has("value")) {
            log.problem(row.where("value"), "The row says no value, so it was not used.",
                        "Write what the document says, or remove the row.");
            continue;
        }
        const std::string written = as_written(row);
        const Claimed claim = read_claim(*item, row, written);
        if (!claim.value) {
            if (!claim.what.empty())
                row.reject(*row.cell("value"), claim.what, std::string(claim.help));
            continue;
        }
        records.push_back({row.text("document"), row.text("dated"), *item, row.text("of"),
                           *claim.value, written, cells.source});
    }
    return records;
}

}  // namespace sondeline
