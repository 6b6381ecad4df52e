#include "survey/mirrored_positions.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <fmt/format.h>

namespace sondeline {

namespace {

// A heading good to 5 degrees beside a line through fixes good to 0.15 m and some metres apart.
constexpr double along_rad = 15.0 * std::numbers::pi / 180.0;
constexpr double shortest_line_m = 1.0;
constexpr std::size_t fewest_fixes = 5;

// A fix with a heading, and the direction of its run there by the positions of its neighbours.
struct Looked {
    double heading_rad = 0.0;
    double line_rad = 0.0;
};

std::vector<Looked> looked_at(const std::vector<SiteFix>& fixes) {
    std::map<int, std::vector<const SiteFix*>> by_run;
    for (const SiteFix& fix : fixes) {
        if (fix.run >= 0 && fix.position && fix.placing != FixPlacing::unplaced) {
            by_run[fix.run].push_back(&fix);
        }
    }
    std::vector<Looked> all;
    for (auto& [run, placed] : by_run) {
        std::ranges::stable_sort(placed, {}, &SiteFix::x_m);
        for (std::size_t i = 0; i < placed.size(); ++i) {
            const PlanPoint& from = placed[i > 0 ? i - 1 : i]->position->at;
            const PlanPoint& to = placed[std::min(i + 1, placed.size() - 1)]->position->at;
            const double east_m = to.e_m - from.e_m;
            const double north_m = to.n_m - from.n_m;
            if (!placed[i]->heading || !(std::hypot(east_m, north_m) > shortest_line_m)) continue;
            all.push_back({placed[i]->heading->rad, std::atan2(east_m, north_m)});
        }
    }
    return all;
}

struct Mirror {
    double sign = 1.0;  // line in the mirror = offset + sign · line
    double offset_rad = 0.0;
    const char* words = "";
    const char* what_to_do = "";
};

constexpr Mirror as_it_stands{};
constexpr Mirror east_for_west{
    -1.0, 0.0, "if the map is turned east for west, as when longitudes lack their minus sign",
    "Look at the sign of the longitudes (west of Greenwich is minus) or of x, and run the folder "
    "again. If the positions are right, the headings are typed the wrong way round."};
constexpr Mirror over_diagonal{
    -1.0, std::numbers::pi / 2.0,
    "if the map is turned over its diagonal, as when easting and northing are exchanged",
    "Look whether x is the easting and y the northing, and run the folder again. If the positions "
    "are right, the headings are not counted from north."};

std::size_t along(const std::vector<Looked>& fixes, const Mirror& mirror) {
    return static_cast<std::size_t>(std::ranges::count_if(fixes, [&](const Looked& fix) {
        const double line_rad = mirror.offset_rad + mirror.sign * fix.line_rad;
        return std::abs(std::remainder(fix.heading_rad - line_rad, std::numbers::pi)) < along_rad;
    }));
}

}  // namespace

void leave_out_mirrored_positions(std::vector<SiteStructure>& structures,
                                  std::vector<SiteFix>& fixes, std::vector<TieObservation>& ties,
                                  Findings& findings) {
    const std::vector<Looked> looked = looked_at(fixes);
    if (looked.size() < fewest_fixes) return;
    const std::size_t now = along(looked, as_it_stands);
    const std::size_t east = along(looked, east_for_west);
    const std::size_t diagonal = along(looked, over_diagonal);
    const Mirror& mirror = east >= diagonal ? east_for_west : over_diagonal;
    if (5 * now > 3 * looked.size() || 6 * std::max(east, diagonal) < 5 * looked.size()) return;
    for (SiteFix& fix : fixes) fix.position.reset();
    for (SiteStructure& structure : structures) {
        if (!structure.surveyed) continue;
        structure.surveyed.reset();
        structure.how_fixed = "not used: the map would be a mirror image";
    }
    ties.clear();
    Finding finding;
    finding.severity = Severity::problem;
    finding.what = fmt::format(
        "The positions make a mirror image of the site: {} of {} headings lie along the pipes {}, "
        "and only {} as they stand. No position was used.",
        std::max(east, diagonal), looked.size(), mirror.words, now);
    finding.what_to_do = mirror.what_to_do;
    finding.consequence = Consequence::input_rejected;
    findings.push_back(std::move(finding));
}

}  // namespace sondeline
