#include "survey/mirrored_positions.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "survey/heading_looks.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// A heading good to 5 degrees beside a line through fixes good to 0.15 m and some metres apart.
constexpr double along_rad = 15.0 * degree_rad;
constexpr std::size_t fewest_fixes = 5;

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

std::size_t along(const std::vector<HeadingLook>& fixes, const Mirror& mirror) {
    return static_cast<std::size_t>(std::ranges::count_if(fixes, [&](const HeadingLook& fix) {
        const double line_rad = mirror.offset_rad + mirror.sign * fix.line_rad;
        return std::abs(std::remainder(fix.heading_rad - line_rad, std::numbers::pi)) < along_rad;
    }));
}

}  // namespace

void leave_out_mirrored_positions(std::vector<SiteStructure>& structures,
                                  std::vector<SiteFix>& fixes, std::vector<TieObservation>& ties,
                                  Findings& findings) {
    const std::vector<HeadingLook> looked = heading_looks(fixes);
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
