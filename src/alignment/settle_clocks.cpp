#include <cmath>

#include <fmt/format.h>

#include "alignment/clock_difference.hpp"
#include "alignment/phrases.hpp"

namespace sondeline {
namespace alignment {
namespace {

constexpr double large_s = 5.0;

// Puts the fix, and the depth it carries, where the clocks now say.
void place_anew(Site& site, int index, const ClockDifference& clocks) {
    SiteFix& fix = site.fixes[index];
    const auto x_m = station_by_clock(site, fix, clocks.ahead_s);
    auto& rows = site.runs[fix.run].vertical;
    std::erase_if(rows, [&](const VerticalObservation& row) { return row.fix == index; });
    if (!x_m) {
        fix.placing = FixPlacing::unplaced;
        fix.why_unplaced = "no counter was read at its moment by the camera's clock";
        return;
    }
    double moved_m = 0.0;
    for (const double way : {-1.0, 1.0}) {
        const auto then = station_by_clock(site, fix, clocks.ahead_s + way * clocks.sd_s);
        if (then) moved_m = std::max(moved_m, std::abs(*then - *x_m));
    }
    fix.placing = FixPlacing::by_clock;
    fix.why_unplaced.clear();
    fix.x_m = *x_m;
    fix.station_sd_m = std::hypot(station_reading_sd_m, moved_m);
    if (const auto row = depth_row(fix, index)) rows.push_back(*row);
}

void tell_clocks(const ClockDifference& clocks, Findings& findings) {
    if (clocks.verdict == ClockDifference::Verdict::cannot_tell) {
        findings.push_back(
            {Severity::caution,
             {},
             "The fixes placed by clock do not fit the pipe, and more than one difference between "
             "the clocks of receiver and camera would explain that; they were left where the "
             "clocks put them.",
             "Compare both clocks and correct footage_start, or give the counter of each fix."});
    }
    if (clocks.verdict != ClockDifference::Verdict::differ) return;
    const bool large = std::abs(clocks.ahead_s) >= large_s;
    findings.push_back(
        {large ? Severity::caution : Severity::info,
         {},
         fmt::format("The camera's clock is {:.0f} s {} that of the receiver (±{:.0f} s), as {} "
                     "placed by clock show: only so do they lie on one pipe. They were placed by "
                     "that.",
                     std::abs(clocks.ahead_s), clocks.ahead_s > 0.0 ? "ahead of" : "behind",
                     std::max(1.0, normal_95 * clocks.sd_s),
                     count_words(clocks.fixes, "fix", "fixes")),
         "Set the camera's clock by the receiver's, or write down the counter with each fix."});
}

void tell_unplaced(const Site& site, const SiteFix& fix, Findings& findings) {
    Where where = where_is(fix.source);
    where.column.clear();
    where.run = site.runs[fix.run].id.text;
    findings.push_back(
        {Severity::caution, where,
         fmt::format("Fix {} has no place along a run: {}.", fix.id, fix.why_unplaced),
         "Give the counter, or check footage_start.", Consequence::input_rejected});
}

}  // namespace
}  // namespace alignment

Site settle_clocks(Site site) {
    using namespace alignment;
    const ClockDifference clocks = clock_difference(site);
    tell_clocks(clocks, site.findings);
    for (std::size_t i = 0; i < site.fixes.size(); ++i) {
        if (site.fixes[i].clock_course.x_m.empty() || site.fixes[i].run < 0) continue;
        if (clocks.verdict == ClockDifference::Verdict::differ) {
            place_anew(site, static_cast<int>(i), clocks);
        }
        const SiteFix& fix = site.fixes[i];
        if (fix.placing == FixPlacing::unplaced) tell_unplaced(site, fix, site.findings);
    }
    return site;
}

}  // namespace sondeline
