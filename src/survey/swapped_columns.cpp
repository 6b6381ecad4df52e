#include "survey/swapped_columns.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "terms/quantile.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

// What depths may have been typed in: inches, feet, metres.
constexpr std::array typed_units_m = {inch_m, foot_m, 1.0};
// Depths that a sewer of a lot may have (common practice, no source).
constexpr double least_usual_m = 0.15;
constexpr double most_usual_m = 3.5;
// A heading good to 5 degrees beside a bend lies within this of the line of its neighbours.
constexpr double along_rad = 25.0 * degree_rad;
constexpr double shortest_line_m = 0.5;
constexpr std::size_t fewest_fixes = 5;

// A fix with a depth, a heading and the direction of its run there.
struct Looked {
    double depth_m = 0.0;
    double heading_rad = 0.0;
    double line_rad = 0.0;
};

bool lies_along(double heading_rad, double line_rad) {
    return std::abs(std::remainder(heading_rad - line_rad, std::numbers::pi)) < along_rad;
}

std::vector<const SiteFix*> along_run(const std::vector<SiteFix>& fixes, int run) {
    std::vector<const SiteFix*> placed;
    for (const SiteFix& fix : fixes) {
        if (fix.run == run && fix.position && fix.placing != FixPlacing::unplaced) {
            placed.push_back(&fix);
        }
    }
    std::ranges::stable_sort(placed, {}, &SiteFix::x_m);
    return placed;
}

std::vector<Looked> looked_at(const Job& job, const std::vector<SiteFix>& fixes) {
    std::vector<Looked> all;
    for (std::size_t run = 0; run < job.runs.size(); ++run) {
        const auto placed = along_run(fixes, static_cast<int>(run));
        for (std::size_t i = 0; i < placed.size(); ++i) {
            const PlanPoint& from = placed[i > 0 ? i - 1 : i]->position->at;
            const PlanPoint& to = placed[std::min(i + 1, placed.size() - 1)]->position->at;
            const double east_m = to.e_m - from.e_m;
            const double north_m = to.n_m - from.n_m;
            if (!placed[i]->depth_m || !placed[i]->heading ||
                std::hypot(east_m, north_m) < shortest_line_m) {
                continue;
            }
            all.push_back(
                {placed[i]->depth_m->value, placed[i]->heading->rad, std::atan2(east_m, north_m)});
        }
    }
    return all;
}

// In this unit the headings are ordinary depths, and most depths lie along the pipe as degrees.
bool swapped_in(double unit_m, const std::vector<Looked>& fixes, double grid_from_job_rad) {
    std::vector<double> headings_as_depths;
    std::size_t along = 0;
    for (const Looked& fix : fixes) {
        const double typed_heading = axial(fix.heading_rad - grid_from_job_rad).rad / degree_rad;
        headings_as_depths.push_back(typed_heading * unit_m);
        const double as_heading_rad = fix.depth_m / unit_m * degree_rad + grid_from_job_rad;
        if (lies_along(as_heading_rad, fix.line_rad)) ++along;
    }
    const double usual_m = quantile(std::move(headings_as_depths), 0.5);
    return 3 * along >= 2 * fixes.size() && usual_m > least_usual_m && usual_m < most_usual_m;
}

}  // namespace

void leave_out_swapped_columns(const Job& job, const SiteFrame& frame, std::vector<SiteFix>& fixes,
                               Findings& findings) {
    if (!frame.grid_from_job_rad) return;
    const std::vector<Looked> looked = looked_at(job, fixes);
    if (looked.size() < fewest_fixes) return;
    const auto fit = static_cast<std::size_t>(std::ranges::count_if(
        looked, [](const Looked& fix) { return lies_along(fix.heading_rad, fix.line_rad); }));
    const bool swapped =
        3 * fit <= looked.size() && std::ranges::any_of(typed_units_m, [&](double unit_m) {
            return swapped_in(unit_m, looked, *frame.grid_from_job_rad);
        });
    if (!swapped) return;
    for (SiteFix& fix : fixes) {
        fix.depth_m.reset();
        fix.heading.reset();
    }
    Where where = where_is(job.fixes.front().source);
    where.row = 0;
    where.column = "depth, heading";
    findings.push_back(
        {Severity::problem, where,
         fmt::format("The columns depth and heading look exchanged: taken as degrees, the depths "
                     "lie along the pipe, while only {} of {} headings do. No depth and no heading "
                     "of the fixes was used.",
                     fit, looked.size()),
         "Exchange the two names in the header, with their units, and run the folder again.",
         Consequence::input_rejected});
}

}  // namespace sondeline
