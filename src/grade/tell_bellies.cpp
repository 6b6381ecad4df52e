#include "grade/tell_bellies.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "grade/detection_limit.hpp"
#include "grade/phrases.hpp"

namespace sondeline::grade {

std::string pond_words(const Pond& pond, LengthUnit unit) {
    return fmt::format("ponds at least 1 cm with probability {:.2f}, deepest {} ({} to {})",
                       pond.probability, height_words(pond.depth_m.value, unit),
                       height_words(pond.depth_m.lo95, unit),
                       height_words(pond.depth_m.hi95, unit));
}

void find_suspected(const AlignedRun& run, const Analysis& analysis, const Pond& pond,
                    Findings& findings) {
    const LengthUnit unit = analysis.rows.unit;
    const bool assumed = analysis.rows.z_reference == ZReference::assumed_level_ground;
    Finding finding = run_finding(
        run.run.id, Severity::caution,
        fmt::format("A belly is suspected from {} to {}: the profile {}.{}",
                    station_words(pond.from_m, unit), station_words(pond.to_m, unit),
                    pond_words(pond, unit),
                    assumed ? " That rests on ground that was only assumed level." : ""),
        "Look for standing water there in the footage, or tape the invert there.");
    finding.where.station_m = pond.from_m;
    findings.push_back(std::move(finding));
}

void find_belly(const AlignedRun& run, const Belly& belly, LengthUnit unit, Findings& findings) {
    std::string what =
        belly.to_m > belly.from_m
            ? fmt::format("Standing water or a belly from {} to {}.",
                          station_words(belly.from_m, unit), station_words(belly.to_m, unit))
            : fmt::format("Standing water at {}; how far it reaches was not noted.",
                          station_words(belly.from_m, unit));
    if (belly.volume_l) what += " It holds about " + volume_words(*belly.volume_l, unit) + ".";
    Finding finding = run_finding(
        run.run.id, Severity::caution, what + " " + belly.words,
        belly.to_m > belly.from_m ? "Show it to the licensed designer or installer; the local "
                                    "rule decides what a drain may hold."
                                  : "Note the counter where the water begins and where it ends.");
    finding.where.station_m = belly.from_m;
    findings.push_back(std::move(finding));
}

void find_dip(const AlignedRun& run, const Analysis& analysis, const std::vector<Pond>& reported,
              Findings& findings) {
    const auto sag = shown_sag(analysis);
    if (!sag) return;
    const LengthUnit unit = analysis.rows.unit;
    const double from_m = sag->centre_m - sag->width_m / 2.0;
    const double to_m = sag->centre_m + sag->width_m / 2.0;
    const bool told = std::ranges::any_of(
        reported, [&](const Pond& p) { return p.from_m <= to_m && p.to_m >= from_m; });
    if (told) return;
    Finding finding = run_finding(
        run.run.id, Severity::info,
        fmt::format("Between {} and {} the invert dips about {} (sd {}) below an even grade, more "
                    "than these depths scatter by chance in 19 runs of 20. It need not hold water.",
                    station_words(from_m, unit), station_words(to_m, unit),
                    height_words(sag->depth_m.value, unit), height_words(sag->depth_m.sd, unit)),
        "Look for standing water there in the footage, or tape the invert there.");
    finding.where.station_m = sag->centre_m;
    findings.push_back(std::move(finding));
}

}  // namespace sondeline::grade
