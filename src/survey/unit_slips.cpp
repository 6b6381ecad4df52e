#include "survey/unit_slips.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "terms/quantile.hpp"
#include "terms/units.hpp"

namespace sondeline {

namespace {

constexpr double inches_in_a_foot = 12.0;
constexpr double inches_in_a_metre = 1.0 / inch_m;
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

// What lies deeper than a transmitter is located is no depth, and nothing is made of it. Else it
// may be one, and the finding alone says so.
struct Verdict {
    Severity severity = Severity::caution;
    std::string what_was_done;
    Consequence consequence = Consequence::none;
    bool used = true;
};

Verdict verdict_on(double depth_m) {
    if (depth_m > beyond_reach_m) {
        return {Severity::problem, "not used", Consequence::input_rejected, false};
    }
    return {Severity::caution, "not changed", Consequence::none, true};
}

void tell_fix(SiteFix& fix, double others_m, std::string_view slip, LengthUnit unit,
              Findings& findings) {
    Where where = where_is(fix.source);
    where.column = "depth";
    const Verdict verdict = verdict_on(fix.depth_m->value);
    findings.push_back({verdict.severity, where,
                        fmt::format("The depth of fix {}, {}, is {} that of the others: "
                                    "it looks like {}.",
                                    fix.id, length_words(fix.depth_m->value, unit, 1),
                                    times_words(fix.depth_m->value / others_m), slip),
                        fmt::format("Correct the figure or write its unit beside it; it was {}.",
                                    verdict.what_was_done),
                        verdict.consequence});
    if (!verdict.used) fix.depth_m.reset();
}

void leave_out_depths(std::vector<SiteFix>& fixes, std::optional<int> of_run) {
    for (SiteFix& fix : fixes) {
        if (!of_run || fix.run == *of_run) fix.depth_m.reset();
    }
}

// True when the whole run differs from the rest of the job.
bool tell_run(const Job& job, std::vector<SiteFix>& fixes, int run, Findings& findings) {
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
    const Verdict verdict = verdict_on(quantile(own, 0.5));
    findings.push_back(
        {verdict.severity, where,
         fmt::format("The depths of this run are {} those of the other runs: they "
                     "look like {}.",
                     times_words(quantile(own, 0.5) / other), slip),
         fmt::format("Correct the column or write its unit in the header; they were {}.",
                     verdict.what_was_done),
         verdict.consequence});
    if (!verdict.used) leave_out_depths(fixes, run);
    return true;
}

// Mostly beyond reach, and ordinary when read as inches. One shallow place does not speak against
// it; a tenth of them in another unit does.
bool tell_job(const std::vector<double>& depths, LengthUnit unit, Findings& findings) {
    const double inches = unit == LengthUnit::metre ? inches_in_a_metre : inches_in_a_foot;
    const double least = quantile(depths, 0.1);
    const double usual = quantile(depths, 0.5);
    const double most = quantile(depths, 0.9);
    const bool slip = usual > beyond_reach_m && least / inches > least_usual_m &&
                      most / inches < most_usual_m && usual / least < inches / likeness;
    if (!slip) return false;
    const bool all = std::ranges::min(depths) > beyond_reach_m;
    Where where;
    where.file = "fixes";
    where.column = "depth";
    findings.push_back(
        {Severity::problem, where,
         fmt::format("{} over {}, deeper than a transmitter is located: they look like inches.",
                     all ? "Every depth is" : "Most depths are",
                     length_words(beyond_reach_m, unit, 1)),
         "Write `depth (in)` in the header if they are; they were not used.",
         Consequence::input_rejected});
    return true;
}

// Of the depths located along a run to the inverts taped at its ends; empty without both.
std::optional<double> depth_over_tapes(const Run& run, const std::vector<double>& depths) {
    std::vector<double> tapes;
    for (const MaybeCell<double>& taped : {run.start_invert_depth_m, run.end_invert_depth_m}) {
        if (taped && taped->value > 0.0) tapes.push_back(taped->value);
    }
    if (tapes.empty() || depths.size() < 2) return std::nullopt;
    return quantile(depths, 0.5) / quantile(tapes, 0.5);
}

// Feet and metres taken for each other on one side, told where it is so on every run that has both,
// and on two at least: which side is wrong cannot be known. Returns those runs.
std::vector<int> tell_against_tapes(const Job& job, std::vector<SiteFix>& fixes,
                                    Findings& findings) {
    constexpr double feet_in_a_metre = 1.0 / foot_m;
    constexpr double evenness = 1.3;
    std::vector<int> runs;
    std::vector<double> ratios;
    for (int run = 0; run < static_cast<int>(job.runs.size()); ++run) {
        const auto ratio =
            depth_over_tapes(job.runs[static_cast<std::size_t>(run)], depths_of(fixes, run, true));
        if (!ratio) continue;
        runs.push_back(run);
        ratios.push_back(*ratio);
    }
    const auto all_about = [&](double factor) {
        return std::ranges::all_of(ratios, [&](double ratio) {
            return ratio > factor / evenness && ratio < factor * evenness;
        });
    };
    const bool deeper = all_about(feet_in_a_metre);
    if (runs.size() < 2 || (!deeper && !all_about(1.0 / feet_in_a_metre))) return {};
    Where where;
    where.file = "fixes";
    where.column = "depth";
    findings.push_back(
        {Severity::problem, where,
         fmt::format("The depths located are {} the inverts taped on the same runs, on all {} runs "
                     "that have both: {} look to be in feet, read as metres. Neither was used.",
                     times_words(quantile(ratios, 0.5)), runs.size(),
                     deeper ? "the depths" : "the taped inverts"),
         "Look at what the receiver and the tape show, and write their units in the headers of the "
         "columns.",
         Consequence::input_rejected});
    for (const int run : runs) leave_out_depths(fixes, run);
    return runs;
}

}  // namespace

std::vector<int> leave_out_unit_slips(const Job& job, LengthUnit unit, std::vector<SiteFix>& fixes,
                                      Findings& findings) {
    std::vector<double> all;
    for (const SiteFix& fix : fixes) {
        if (fix.depth_m) all.push_back(fix.depth_m->value);
    }
    if (all.size() < 2) return {};
    if (tell_job(all, unit, findings)) {
        leave_out_depths(fixes, std::nullopt);
        return {};
    }
    std::vector<int> runs = tell_against_tapes(job, fixes, findings);
    if (!runs.empty()) return runs;
    std::vector<bool> told(job.runs.size(), false);
    for (std::size_t run = 0; run < told.size(); ++run) {
        told[run] = tell_run(job, fixes, static_cast<int>(run), findings);
    }
    const double usual = quantile(all, 0.5);
    if (all.size() <= others_to_compare || !(usual > 0.0)) return {};
    for (SiteFix& fix : fixes) {
        if (!fix.depth_m || (fix.run >= 0 && told[static_cast<std::size_t>(fix.run)])) continue;
        const std::string_view slip = slip_of(fix.depth_m->value, usual);
        if (!slip.empty()) tell_fix(fix, usual, slip, unit, findings);
    }
    return {};
}

}  // namespace sondeline
