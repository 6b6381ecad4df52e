#include "grade/phrases.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "terms/outward.hpp"
#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

constexpr double kInchesPer100Feet = 1200.0;
constexpr double kFlatter = 1.0 / 2000.0;  // "1 in 5000" says nothing to anyone

}  // namespace

std::string job_unit_first(const std::string& metric, const std::string& other, LengthUnit unit) {
    return unit == LengthUnit::metre ? fmt::format("{} ({})", metric, other)
                                     : fmt::format("{} ({})", other, metric);
}

std::string height_words(double height_m, LengthUnit unit) {
    constexpr double large_m = 2.0;  // nobody counts that in inches
    if (std::abs(height_m) >= large_m) return station_words(height_m, unit);
    const int decimals = std::abs(height_m) < 0.1 ? 1 : 0;
    return job_unit_first(fmt::format("{:.{}f} cm", 100.0 * height_m, decimals),
                          fmt::format("{:.1f} in", height_m / inch_m), unit);
}

std::string station_words(double station_m, LengthUnit unit) {
    return job_unit_first(fmt::format("{:.1f} m", station_m),
                          fmt::format("{:.1f} ft", station_m / foot_m), unit);
}

std::string volume_words(double volume_l, LengthUnit unit) {
    return job_unit_first(fmt::format("{:.1f} L", volume_l),
                          fmt::format("{:.1f} gal", volume_l / litres_per_us_gallon), unit);
}

namespace {

// Bounds of a small volume keep one decimal, so that "0 to 3" is not all that is said of it.
std::string bounded_volume(const Bounded& volume_l, double per, const char* unit) {
    const int decimals = decimals_for_bounds((volume_l.hi95 - volume_l.lo95) / 2.0 / per);
    const int of_bounds = std::max(decimals, volume_l.lo95 / per < 10.0 ? 1 : 0);
    return fmt::format("{:.{}f} {} ({:.{}f} to {:.{}f})", volume_l.value / per, decimals, unit,
                       rounded_down(volume_l.lo95 / per, of_bounds), of_bounds,
                       rounded_up(volume_l.hi95 / per, of_bounds), of_bounds);
}

}  // namespace

std::string volume_words(const Bounded& volume_l, LengthUnit unit) {
    const std::string metric = bounded_volume(volume_l, 1.0, "L");
    const std::string other = bounded_volume(volume_l, litres_per_us_gallon, "gal");
    return unit == LengthUnit::metre ? metric + ", or " + other : other + ", or " + metric;
}

std::string slope_words(double slope) {
    const double inches = slope * kInchesPer100Feet;
    if (slope < kFlatter)
        return fmt::format("{:.2f} % ({:.3g} in per 100 ft)", slope * 100, inches);
    return fmt::format("{:.2f} % (1 in {:.0f}; {:.3g} in per 100 ft)", slope * 100.0, 1.0 / slope,
                       inches);
}

Finding run_finding(const RunId& run, Severity severity, std::string what, std::string what_to_do) {
    Finding finding;
    finding.severity = severity;
    finding.where.run = run.text;
    finding.what = std::move(what);
    finding.what_to_do = std::move(what_to_do);
    return finding;
}

}  // namespace sondeline::grade
