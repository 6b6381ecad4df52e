#include <chrono>

#include "sondeline/terms.hpp"

#include "terms/scan.hpp"

namespace sondeline {

namespace {

std::optional<int> days_of(int year, int month, int day) {
    const std::chrono::year_month_day date{std::chrono::year(year),
                                           std::chrono::month(static_cast<unsigned>(month)),
                                           std::chrono::day(static_cast<unsigned>(day))};
    if (!date.ok()) return std::nullopt;
    return std::chrono::sys_days(date).time_since_epoch().count();
}

// One digit or two.
std::optional<int> take_day_or_month(std::string_view& text) {
    auto number = take_digits(text, 2);
    return number ? number : take_digits(text, 1);
}

// `14.05.2026`, and `5/14/2026` or `14/5/2026` where the size of the figures says which is the day:
// what spreadsheets make of a date. Dots stand behind the day wherever they are used (common
// practice, no source).
std::optional<int> take_date_of_spreadsheet(std::string_view& text) {
    constexpr int most_months = 12;
    std::string_view rest = text;
    const auto first = take_day_or_month(rest);
    if (!first || rest.empty()) return std::nullopt;
    const std::string_view separator = rest.substr(0, 1);
    if (separator != "." && separator != "/" && separator != "-") return std::nullopt;
    take(rest, separator);
    const auto second = take_day_or_month(rest);
    if (!second || !take(rest, separator)) return std::nullopt;
    const auto year = take_digits(rest, 4);
    if (!year) return std::nullopt;
    const bool day_first = separator == "." || *first > most_months;
    const bool told = day_first || *second > most_months || first == second;
    const auto days = day_first ? days_of(*year, *second, *first) : days_of(*year, *first, *second);
    if (!told || !days) return std::nullopt;
    text = rest;
    return days;
}

// Days since 1970-01-01 of `2026-05-14` (or with slashes, as spreadsheets give it).
std::optional<int> take_date(std::string_view& text) {
    if (const auto days = take_date_of_spreadsheet(text)) return days;
    std::string_view rest = text;
    const auto year = take_digits(rest, 4);
    const bool slashes = rest.starts_with('/');
    const std::string_view separator = slashes ? "/" : "-";
    if (!year || !take(rest, separator)) return std::nullopt;
    const auto month = slashes ? take_day_or_month(rest) : take_digits(rest, 2);
    if (!month || !take(rest, separator)) return std::nullopt;
    const auto day = slashes ? take_day_or_month(rest) : take_digits(rest, 2);
    if (!day) return std::nullopt;
    const auto days = days_of(*year, *month, *day);
    if (days) text = rest;
    return days;
}

// `:05` or `:05.2`; also a comma, which ISO 8601 prefers.
std::optional<double> take_sixty(std::string_view& text, bool decimals) {
    std::string_view rest = text;
    if (!take(rest, ":")) return std::nullopt;
    std::string_view digits = rest;
    auto whole = take_digits(digits, 2);
    if (!whole || *whole >= 60) return std::nullopt;
    if (!decimals) {
        text = digits;
        return *whole;
    }
    const auto value = take_number(rest, true);
    if (!value || *value >= 60.0 || *value < *whole) return std::nullopt;
    text = rest;
    return value;
}

// Adds 12 hours for `pm`; empty when the hour does not suit.
std::optional<int> twelve_hour(int hour, std::string_view& text) {
    std::string_view rest = text;
    skip_blanks(rest);
    const bool pm = take(rest, "pm") || take(rest, "p.m.");
    const bool am = !pm && (take(rest, "am") || take(rest, "a.m."));
    if (!am && !pm) return hour;
    text = rest;
    if (hour < 1 || hour > 12) return std::nullopt;
    return hour % 12 + (pm ? 12 : 0);
}

// Seconds since midnight of `10:32`, `10:32:05.2`, `1:05 pm`.
std::optional<double> take_time_of_day(std::string_view& text) {
    auto hour = take_digits(text, 2);
    if (!hour) hour = take_digits(text, 1);
    if (!hour) return std::nullopt;
    const auto minutes = take_sixty(text, false);
    if (!minutes) return std::nullopt;
    double seconds = 0.0;
    if (text.starts_with(':')) {
        const auto typed = take_sixty(text, true);
        if (!typed) return std::nullopt;
        seconds = *typed;
    }
    hour = twelve_hour(*hour, text);
    if (!hour || *hour > 23) return std::nullopt;
    return *hour * 3600.0 + *minutes * 60.0 + seconds;
}

// Seconds ahead of UTC of `z`, `+02:00`, `-0430`, `+02`; the default when nothing stands there.
std::optional<double> take_zone(std::string_view& text, double default_s) {
    skip_blanks(text);
    if (text.empty()) return default_s;
    if (take(text, "z") || take(text, "utc")) return 0.0;
    if (text.front() != '+' && text.front() != '-') return std::nullopt;
    const double sign = take_sign(text);
    const auto hours = take_digits(text, 2);
    if (!hours || *hours > 14) return std::nullopt;
    take(text, ":");
    const auto minutes = text.empty() ? std::optional<int>(0) : take_digits(text, 2);
    if (!minutes || *minutes >= 60) return std::nullopt;
    return sign * (*hours * 3600.0 + *minutes * 60.0);
}

}  // namespace

std::optional<double> parse_video_time_s(std::string_view text) {
    std::string_view rest = trim(text);
    const auto first = take_number(rest, true);
    if (!first) return std::nullopt;
    if (rest.empty()) return first;
    const std::string_view written = trim(text).substr(0, trim(text).size() - rest.size());
    if (written.find_first_not_of("0123456789") != std::string_view::npos) return std::nullopt;
    const bool hours = rest.size() > 3 && rest[3] == ':';
    const auto second = take_sixty(rest, !hours);
    if (!second) return std::nullopt;
    if (!hours) return rest.empty() ? std::optional(*first * 60.0 + *second) : std::nullopt;
    const auto third = take_sixty(rest, true);
    if (!third || !rest.empty()) return std::nullopt;
    return *first * 3600.0 + *second * 60.0 + *third;
}

std::optional<double> parse_clock_s(std::string_view text, std::string_view date,
                                    double utc_offset_s) {
    const std::string cleaned = plain(text);
    std::string_view rest = trim(cleaned);
    auto day = take_date(rest);
    if (day) {
        if (!take(rest, "t") && !rest.starts_with(' ')) return std::nullopt;
        skip_blanks(rest);
    } else {
        std::string_view of_job = trim(date);
        day = take_date(of_job);
        if (!day || !of_job.empty()) return std::nullopt;
    }
    const auto time_s = take_time_of_day(rest);
    if (!time_s) return std::nullopt;
    const auto zone_s = take_zone(rest, utc_offset_s);
    if (!zone_s || !rest.empty()) return std::nullopt;
    return *day * 86400.0 + *time_s - *zone_s;
}

}  // namespace sondeline
