#include "grade/phrases.hpp"

#include <cmath>

#include <fmt/format.h>

namespace sondeline::grade {

namespace {

constexpr double kInch_m = 0.0254;
constexpr double kFoot_m = 0.3048;
constexpr double kGallon_l = 3.785411784;
constexpr double kInchesPer100Feet = 1200.0;
constexpr double kFlatter = 1.0 / 2000.0;  // "1 in 5000" says nothing to anyone

}  // namespace

std::string job_unit_first(const std::string& metric, const std::string& other, LengthUnit unit) {
    return unit == LengthUnit::metre ? fmt::format("{} ({})", metric, other)
                                     : fmt::format("{} ({})", other, metric);
}

std::string height_words(double height_m, LengthUnit unit) {
    const int decimals = std::abs(height_m) < 0.1 ? 1 : 0;
    return job_unit_first(fmt::format("{:.{}f} cm", 100.0 * height_m, decimals),
                          fmt::format("{:.1f} in", height_m / kInch_m), unit);
}

std::string station_words(double station_m, LengthUnit unit) {
    return job_unit_first(fmt::format("{:.1f} m", station_m),
                          fmt::format("{:.1f} ft", station_m / kFoot_m), unit);
}

std::string volume_words(double volume_l, LengthUnit unit) {
    return job_unit_first(fmt::format("{:.1f} L", volume_l),
                          fmt::format("{:.1f} gal", volume_l / kGallon_l), unit);
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
