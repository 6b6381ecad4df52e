#include "grade/capacity.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"
#include "terms/outward.hpp"
#include "terms/units.hpp"

namespace sondeline::grade {

namespace {

constexpr double kSelfCleansing_m_per_s = 0.6096;
constexpr double kGallonPerMinute_l_per_s = litres_per_us_gallon / 60.0;

// Part-full flow rises with the depth up to about 0.94 of the bore.
constexpr double kDeepestRising = 0.93;

std::string speed_words(double speed_m_per_s, LengthUnit unit) {
    return job_unit_first(fmt::format("{:.2f} m/s", speed_m_per_s),
                          fmt::format("{:.1f} ft/s", speed_m_per_s / foot_m), unit);
}

std::string design_words(Bore bore, const Channel& channel, double design_flow_m3_per_s,
                         LengthUnit unit) {
    const double flow_l_per_s = 1000.0 * design_flow_m3_per_s;
    const auto depth_m = normal_depth_m(bore, channel, flow_l_per_s);
    const std::string flow = job_unit_first(
        fmt::format("{:.2f} L/s", flow_l_per_s),
        fmt::format("{:.1f} gal/min", flow_l_per_s / kGallonPerMinute_l_per_s), unit);
    if (!depth_m) {
        return fmt::format(" It does not carry the design flow of {} at this fall.", flow);
    }
    const std::string deep = job_unit_first(fmt::format("{:.0f} mm", 1000.0 * *depth_m),
                                            fmt::format("{:.1f} in", *depth_m / inch_m), unit);
    return fmt::format(
        " At the design flow spread evenly over the day, {}, water runs {} deep at {}; fixtures "
        "discharge in surges, which run deeper and faster.",
        flow, deep,
        speed_words(manning_flow(wetted_section(bore, *depth_m), channel).velocity_m_per_s, unit));
}

// "7.5 L/s (118 gal/min), 95 % bounds 6.9 to 8.0 L/s"
std::string full_flow_words(const ManningFlow& least, const ManningFlow& middle,
                            const ManningFlow& most, LengthUnit unit) {
    const bool metric = unit == LengthUnit::metre;
    const double per = metric ? 1.0 : kGallonPerMinute_l_per_s;
    const int decimals = metric ? 1 : 0;
    return fmt::format(
        "{}, 95 % bounds {:.{}f} to {:.{}f} {}",
        job_unit_first(
            fmt::format("{:.1f} L/s", middle.flow_l_per_s),
            fmt::format("{:.0f} gal/min", middle.flow_l_per_s / kGallonPerMinute_l_per_s), unit),
        rounded_down(least.flow_l_per_s / per, decimals), decimals,
        rounded_up(most.flow_l_per_s / per, decimals), decimals, metric ? "L/s" : "gal/min");
}

}  // namespace

std::optional<double> normal_depth_m(Bore bore, const Channel& channel, double flow_l_per_s) {
    double low_m = 0.0;
    double high_m = kDeepestRising * bore.diameter_m;
    const auto carries = [&](double depth_m) {
        return manning_flow(wetted_section(bore, depth_m), channel).flow_l_per_s >= flow_l_per_s;
    };
    if (!(flow_l_per_s > 0.0) || !carries(high_m)) return std::nullopt;
    constexpr int halvings = 60;
    for (int step = 0; step < halvings; ++step) {
        const double middle_m = 0.5 * (low_m + high_m);
        (carries(middle_m) ? high_m : low_m) = middle_m;
    }
    return high_m;
}

ManningFlow manning_flow(const WettedSection& section, const Channel& channel) {
    if (channel.slope <= 0.0 || channel.roughness <= 0.0) return {};
    ManningFlow flow;
    flow.velocity_m_per_s = std::pow(section.hydraulic_radius_m, 2.0 / 3.0) *
                            std::sqrt(channel.slope) / channel.roughness;
    flow.flow_l_per_s = 1000.0 * flow.velocity_m_per_s * section.area_m2;
    return flow;
}

std::string capacity_words(const SiteRun& run, const Figure<Estimate>& slope, LengthUnit unit,
                           const std::optional<double>& design_flow_m3_per_s, bool holds_water) {
    if (!run.kind_doubt.empty()) return "Capacity not given: the kind of the run is in doubt.";
    if (run.kind == RunKind::lateral || run.kind == RunKind::trench) {
        return "Capacity not given: a line laid level carries by its water's depth, not by its "
               "slope.";
    }
    if (!run.diameter_m) return "Capacity not given: the diameter is not known.";
    if (!slope) return "Capacity not given, as the slope is withheld.";
    const double low = slope->value - normal_95 * slope->sd;
    if (low <= 0.0) return "Capacity not given: the run may lie level or fall back.";

    const Bore bore{inside_diameter_m({*run.diameter_m, run.material})};
    const WettedSection full = wetted_section(bore, bore.diameter_m);
    const auto at = [&](double fall) { return manning_flow(full, {fall, kDesignRoughness}); };
    const ManningFlow middle = at(slope->value);
    const ManningFlow least = at(low);
    const ManningFlow most = at(slope->value + normal_95 * slope->sd);
    const char* cleans = least.velocity_m_per_s >= kSelfCleansing_m_per_s
                             ? (holds_water ? "apart from the standing water it keeps itself "
                                              "clean"
                                            : "it keeps itself clean")
                         : most.velocity_m_per_s < kSelfCleansing_m_per_s
                             ? "too slow to keep itself clean"
                             : "it may be too slow to keep itself clean";
    const std::string at_design =
        design_flow_m3_per_s
            ? design_words(bore, {slope->value, kDesignRoughness}, *design_flow_m3_per_s, unit)
            : "";
    const char* where_it_stands =
        holds_water ? " This is of an even grade: where water stands the pipe does not clean "
                      "itself, and carries less."
                    : "";
    return fmt::format(
               "Full bore, clean and straight, at {}: {}, at {}; {} (Manning, n = {}, inside "
               "diameter {}; 2 ft/s asked by the Ten States Standards).",
               slope_words(slope->value), full_flow_words(least, middle, most, unit),
               speed_words(middle.velocity_m_per_s, unit), cleans, kDesignRoughness,
               job_unit_first(fmt::format("{:.0f} mm", 1000.0 * bore.diameter_m),
                              fmt::format("{:.2f} in", bore.diameter_m / inch_m), unit)) +
           where_it_stands + at_design;
}

}  // namespace sondeline::grade
