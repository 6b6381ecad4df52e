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

std::string height_words(double height_m) {
    const double inches = height_m / kInch_m;
    if (std::abs(height_m) < 0.1)
        return fmt::format("{:.1f} cm ({:.1f} in)", height_m * 100, inches);
    return fmt::format("{:.0f} cm ({:.1f} in)", height_m * 100.0, inches);
}

std::string station_words(double station_m) {
    return fmt::format("{:.1f} m ({:.1f} ft)", station_m, station_m / kFoot_m);
}

std::string volume_words(double volume_l) {
    return fmt::format("{:.1f} L ({:.1f} gal)", volume_l, volume_l / kGallon_l);
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
