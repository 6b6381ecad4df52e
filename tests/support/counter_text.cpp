#include "support/counter_text.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

namespace sondeline::support {

namespace {

constexpr int inches_per_foot = 12;

long ticks_per_unit(const CounterStyle& style) {
    if (style.scale == CounterScale::feet_and_inches) return inches_per_foot;
    long ticks = 1;
    for (int place = 0; place < style.decimals; ++place) ticks *= 10;
    return ticks;
}

std::string padded(std::string digits, int places, char pad) {
    const auto wanted = static_cast<std::size_t>(std::max(places, 0));
    if (digits.size() < wanted) digits.insert(0, wanted - digits.size(), pad);
    return digits;
}

// The sign stands before zeros but next to the first digit behind blanks.
std::string with_sign(const std::string& sign, const std::string& digits,
                      const CounterStyle& style) {
    if (style.pad != ' ') return sign + padded(digits, style.places, '0');
    const int places = style.places + (style.plus_sign ? 1 : 0);
    return padded(sign + digits, places, ' ');
}

}  // namespace

long counter_ticks(const CounterStyle& style, double value) {
    return std::lround(value * static_cast<double>(ticks_per_unit(style)));
}

std::string counter_text(const CounterStyle& style, long ticks) {
    const std::string sign = ticks < 0 ? "-" : (style.plus_sign ? "+" : "");
    const long whole = std::labs(ticks) / ticks_per_unit(style);
    const long part = std::labs(ticks) % ticks_per_unit(style);
    const std::string units = with_sign(sign, std::to_string(whole), style);
    if (style.scale == CounterScale::feet_and_inches) {
        return fmt::format("{}{}' {:>2}\"{}", style.prefix, units, part, style.suffix);
    }
    const std::string point = style.implied_point ? "" : (style.comma ? "," : ".");
    const std::string decimals =
        style.decimals > 0 ? point + padded(std::to_string(part), style.decimals, '0') : "";
    return style.prefix + units + decimals + style.suffix;
}

std::string counter_number(const CounterStyle& style, long ticks) {
    const double value = static_cast<double>(ticks) / static_cast<double>(ticks_per_unit(style));
    const bool inches = style.scale == CounterScale::feet_and_inches;
    return fmt::format("{:.{}f}", value, inches ? 4 : style.decimals);
}

std::string clock_text(double seconds) {
    constexpr long day_s = 86400;
    const long whole = ((static_cast<long>(std::floor(seconds)) % day_s) + day_s) % day_s;
    return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

std::string half_day_clock_text(double seconds) {
    const std::string all_day = clock_text(seconds);
    const int hour = std::stoi(all_day.substr(0, 2));
    const int shown = hour % 12 == 0 ? 12 : hour % 12;
    return fmt::format("{:02}{} {}", shown, all_day.substr(2), hour < 12 ? "AM" : "PM");
}

}  // namespace sondeline::support
