#include "grade/tell_bellies.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

std::string dip_remedy(const ShownSag* sag) {
    return sag != nullptr && sag->carried_by
               ? "Take that depth again, and one within a metre on either side; look for standing "
                 "water there in the footage."
               : "Look for standing water there in the footage, or tape the invert there.";
}

}  // namespace

std::string pond_words(const Pond& pond, LengthUnit unit) {
    return fmt::format("ponds at least 1 cm with probability {:.2f}, deepest {} ({} to {})",
                       pond.probability, height_words(pond.depth_m.value, unit),
                       height_words(pond.depth_m.lo95, unit),
                       height_words(pond.depth_m.hi95, unit));
}

void find_suspected(const AlignedRun& run, const Analysis& analysis, const Pond& pond,
                    const ShownSag* carried, Findings& findings) {
    const LengthUnit unit = analysis.rows.unit;
    const bool assumed = analysis.rows.z_reference == ZReference::assumed_level_ground;
    Finding finding =
        run_finding(run.run.id, Severity::caution,
                    fmt::format("A belly is suspected from {} to {}: the profile {}.{}{}",
                                station_words(pond.from_m, unit), station_words(pond.to_m, unit),
                                pond_words(pond, unit),
                                assumed ? " That rests on ground that was only assumed level." : "",
                                carried != nullptr ? carried_words(analysis, *carried) : ""),
                    dip_remedy(carried));
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

namespace {

std::string dip_words(const Analysis& analysis, const ShownSag& sag) {
    const LengthUnit unit = analysis.rows.unit;
    return fmt::format(
        "Between {} and {} the invert dips about {} (sd {}) below an even grade, more than these "
        "depths scatter by chance in 19 runs of 20. It need not hold water.",
        station_words(sag.from_m(), unit), station_words(sag.to_m(), unit),
        height_words(sag.depth_m.value, unit), height_words(sag.depth_m.sd, unit));
}

}  // namespace

std::string carried_words(const Analysis& analysis, const ShownSag& sag) {
    if (!sag.carried_by) return "";
    return fmt::format(
        " Without the depth of {} the others would not show it: that depth may be bad.",
        analysis.screening.used[*sag.carried_by].source);
}

void find_dips(const AlignedRun& run, const Analysis& analysis, const std::vector<Pond>& reported,
               Findings& findings) {
    if (!analysis.sags || !is_height(analysis.rows.z_reference)) return;
    std::vector<const ShownSag*> told;
    for (const ShownSag& sag : analysis.sags->shown) {
        const bool ponds = std::ranges::any_of(reported, [&](const Pond& pond) {
            return pond.from_m <= sag.to_m() && pond.to_m >= sag.from_m();
        });
        // What is left of a sag of another shape is no sag more.
        const bool twice = std::ranges::any_of(told, [&](const ShownSag* other) {
            return other->from_m() < sag.to_m() && other->to_m() > sag.from_m();
        });
        if (ponds || twice) continue;
        told.push_back(&sag);
        Finding finding =
            run_finding(run.run.id, Severity::info,
                        dip_words(analysis, sag) + carried_words(analysis, sag), dip_remedy(&sag));
        finding.where.station_m = sag.centre_m;
        findings.push_back(std::move(finding));
    }
}

}  // namespace sondeline::grade
