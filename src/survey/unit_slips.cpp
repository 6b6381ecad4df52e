#include "survey/unit_slips.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "terms/quantile.hpp"

namespace sondeline {

namespace {

constexpr double inches_in_a_foot = 12.0;
constexpr double inches_in_a_metre = 1.0 / 0.0254;
constexpr double likeness = 1.8;  // pipes of one site lie within this factor of their median depth
constexpr std::size_t others_to_compare = 3;

// Depths that a sewer of a lot may have, and the least that no transmitter in a push camera is
// located at. Common practice, no source.
constexpr double least_usual_m = 0.15;
constexpr double most_usual_m = 3.5;
constexpr double beyond_reach_m = 6.0;

bool about(double ratio, double factor) {
    return ratio > factor / likeness && ratio < factor * likeness;
}

// Of depths that stand so against those of the others. Where one is a twelfth of the other, the one
// too shallow for a pipe is the slip.
std::string_view slip_of(double depth_m, double others_m) {
    const double ratio = depth_m / others_m;
    if (depth_m < least_usual_m) {
        return about(ratio, 1.0 / inches_in_a_foot) ? "feet taken for inches" : "";
    }
    if (others_m < least_usual_m) return "";
    if (about(ratio, inches_in_a_foot)) return "inches taken for feet";
    if (about(ratio, inches_in_a_metre)) return "inches taken for metres";
    return "";
}

std::string times_words(double ratio) {
    return ratio < 1.0 ? fmt::format("{:.2f} times", ratio) : fmt::format("{:.0f} times", ratio);
}

std::vector<double> depths_of(const std::vector<SiteFix>& fixes, int run, bool inside) {
    std::vector<double> depths;
    for (const SiteFix& fix : fixes) {
        if (fix.depth_m && (fix.run == run) == inside) depths.push_back(fix.depth_m->value);
    }
    return depths;
}

void tell_fix(const SiteFix& fix, double others_m, std::string_view slip, LengthUnit unit,
              Findings& findings) {
    Where where = where_is(fix.source);
    where.column = "depth";
    findings.push_back({Severity::caution, where,
                        fmt::format("The depth of fix {}, {}, is {} that of the others: "
                                    "it looks like {}.",
                                    fix.id, length_words(fix.depth_m->value, unit, 1),
                                    times_words(fix.depth_m->value / others_m), slip),
                        "Correct the figure or write its unit beside it; it was not changed."});
}

// True when the whole run differs from the rest of the job.
bool tell_run(const Job& job, const std::vector<SiteFix>& fixes, int run, Findings& findings) {
    const std::vector<double> own = depths_of(fixes, run, true);
    const std::vector<double> others = depths_of(fixes, run, false);
    if (own.size() < 2 || others.size() < others_to_compare) return false;
    const double other = quantile(others, 0.5);
    if (!(other > 0.0)) return false;
    const std::string_view slip = slip_of(quantile(own, 0.5), other);
    if (slip.empty()) return false;
    Where where;
    where.file = "fixes";
    where.column = "depth";
    where.run = job.runs[static_cast<std::size_t>(run)].id.text;
    findings.push_back({Severity::caution, where,
                        fmt::format("The depths of this run are {} those of the other runs: they "
                                    "look like {}.",
                                    times_words(quantile(own, 0.5) / other), slip),
                        "Correct the column or write its unit in the header; it was not changed."});
    return true;
}

// All beyond reach, and ordinary when read as inches.
bool tell_job(const std::vector<double>& depths, LengthUnit unit, Findings& findings) {
    const auto [least, most] = std::minmax_element(depths.begin(), depths.end());
    const double inches = unit == LengthUnit::metre ? inches_in_a_metre : inches_in_a_foot;
    const bool slip =
        *least > beyond_reach_m && *least / inches > least_usual_m && *most / inches < most_usual_m;
    if (!slip) return false;
    Where where;
    where.file = "fixes";
    where.column = "depth";
    findings.push_back(
        {Severity::caution, where,
         fmt::format("Every depth is over {}, deeper than a transmitter is located: they look like "
                     "inches.",
                     length_words(beyond_reach_m, unit, 1)),
         "Write `depth (in)` in the header if they are; they were not changed."});
    return true;
}

}  // namespace

void tell_unit_slips(const Job& job, const std::vector<SiteFix>& fixes, LengthUnit unit,
                     Findings& findings) {
    std::vector<double> all;
    for (const SiteFix& fix : fixes) {
        if (fix.depth_m) all.push_back(fix.depth_m->value);
    }
    if (all.size() < 2 || tell_job(all, unit, findings)) return;
    std::vector<bool> told(job.runs.size(), false);
    for (std::size_t run = 0; run < told.size(); ++run) {
        told[run] = tell_run(job, fixes, static_cast<int>(run), findings);
    }
    const double usual = quantile(all, 0.5);
    if (all.size() <= others_to_compare || !(usual > 0.0)) return;
    for (const SiteFix& fix : fixes) {
        if (!fix.depth_m || (fix.run >= 0 && told[static_cast<std::size_t>(fix.run)])) continue;
        const std::string_view slip = slip_of(fix.depth_m->value, usual);
        if (!slip.empty()) tell_fix(fix, usual, slip, unit, findings);
    }
}

}  // namespace sondeline
