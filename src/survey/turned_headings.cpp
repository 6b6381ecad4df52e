#include "survey/turned_headings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "survey/heading_looks.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double alike_rad = 15.0 * degree_rad;
constexpr double telling_rad = 10.0 * degree_rad;
constexpr std::size_t fewest_fixes = 6;

double mean_turn_rad(const std::vector<HeadingLook>& looks) {
    double sine = 0.0;
    double cosine = 0.0;
    for (const HeadingLook& look : looks) {
        sine += std::sin(2.0 * (look.heading_rad - look.line_rad));
        cosine += std::cos(2.0 * (look.heading_rad - look.line_rad));
    }
    return 0.5 * std::atan2(sine, cosine);
}

}  // namespace

void leave_out_turned_headings(std::vector<SiteFix>& fixes, Findings& findings) {
    const std::vector<HeadingLook> looks = heading_looks(fixes);
    if (looks.size() < fewest_fixes) return;
    const double turn_rad = mean_turn_rad(looks);
    const auto alike =
        static_cast<std::size_t>(std::ranges::count_if(looks, [&](const HeadingLook& look) {
            const double off_rad = look.heading_rad - look.line_rad - turn_rad;
            return std::abs(std::remainder(off_rad, std::numbers::pi)) < alike_rad;
        }));
    if (std::abs(turn_rad) < telling_rad || 6 * alike < 5 * looks.size()) return;
    for (SiteFix& fix : fixes) fix.heading.reset();
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = fmt::format(
        "{} of {} headings lie turned the same way from the pipes on the map, by {:.0f}° {}. No "
        "heading was used.",
        alike, looks.size(), std::abs(turn_rad) / degree_rad,
        turn_rad > 0.0 ? "clockwise" : "counter-clockwise");
    finding.what_to_do =
        "Check north (true, grid or magnetic) and the declination with its sign in the job table, "
        "and how the receiver was held.";
    finding.consequence = Consequence::input_rejected;
    findings.push_back(std::move(finding));
}

}  // namespace sondeline
