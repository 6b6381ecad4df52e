#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/bellies.hpp"
#include "grade/capacity.hpp"
#include "grade/detection_limit.hpp"
#include "grade/end_depths.hpp"
#include "grade/exchanged_heights.hpp"
#include "grade/exchanged_tapes.hpp"
#include "grade/footage_limit.hpp"
#include "grade/ground_slips.hpp"
#include "grade/ground_unit.hpp"
#include "grade/level_log.hpp"
#include "grade/locator_wander.hpp"
#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"
#include "grade/profile.hpp"
#include "grade/settle_flows.hpp"
#include "grade/slope.hpp"

namespace sondeline {

namespace grade {

namespace {

// The variance of the depths is then four times what was stated.
constexpr double kTwiceTheScatter = 4.0;

void find_rejected(const AlignedRun& run, const GradedRun& graded, const Analysis& analysis,
                   Findings& findings) {
    if (!analysis.samples) return;  // residuals are read off the profile
    for (const Row& row : analysis.screening.rejected) {
        if (!row.fix) continue;
        const auto residual =
            std::ranges::find(graded.depth_residuals_m, *row.fix, &std::pair<int, double>::first);
        const bool deeper = residual->second > 0.0;
        Finding finding = run_finding(
            run.run.id, Severity::caution,
            fmt::format("The depth of {} is {} {} than its neighbours allow; it was not used.",
                        row.source, height_words(std::abs(residual->second), analysis.rows.unit),
                        deeper ? "deeper" : "shallower"),
            deeper ? "Take this depth again, and one within a metre on either side: if they read "
                     "as deep, the pipe sags there. Else look for metal, a cable or a slip of the "
                     "unit."
                   : "Take this depth again; look for metal, a cable or a slip of the unit.");
        finding.where.station_m = row.station_m;
        findings.push_back(std::move(finding));
    }
}

void find_scatter(const AlignedRun& run, const Analysis& analysis, Findings& findings) {
    if (analysis.screening.scatter <= kTwiceTheScatter) return;
    findings.push_back(run_finding(
        run.run.id, Severity::caution,
        fmt::format(
            "The depths of this run scatter {:.1f} times as much as stated; the bounds were "
            "widened accordingly.",
            std::sqrt(analysis.screening.scatter)),
        "Hold the receiver still on the ground, upright, and take each depth twice."));
}

void find_interpolated(const AlignedRun& run, const Analysis& analysis, Findings& findings) {
    const auto count = std::ranges::count_if(analysis.rows.rows,
                                             [](const Row& r) { return r.ground_interpolated; });
    if (count == 0) return;
    findings.push_back(run_finding(
        run.run.id, Severity::info,
        fmt::format("{} of {} depths have no ground elevation of their own; the ground there was "
                    "taken from the known points on either side, with wider bounds.",
                    count, analysis.rows.rows.size()),
        "Level the ground at every fix."));
}

void find_no_profile(const AlignedRun& run, const Analysis& analysis, Findings& findings) {
    if (analysis.samples) return;
    const bool contradiction = !analysis.screening.tapes_at_odds.empty();
    findings.push_back(run_finding(run.run.id, contradiction ? Severity::problem : Severity::info,
                                   "No invert profile: " + analysis.why_no_profile.reason,
                                   analysis.why_no_profile.what_to_do));
}

void find_slope_withheld(const AlignedRun& run, const Analysis& analysis, const GradedRun& graded,
                         Findings& findings) {
    if (graded.slope || !analysis.samples) return;
    findings.push_back(
        run_finding(run.run.id, Severity::caution,
                    "The slope of this run is withheld. " + graded.slope.withheld.reason,
                    graded.slope.withheld.what_to_do));
}

void find_flow_unknown(const AlignedRun& run, const Analysis& analysis, const GradedRun& graded,
                       Findings& findings) {
    if (analysis.flow.known || analysis.flow.in_question || !graded.slope) return;
    findings.push_back(run_finding(
        run.run.id, Severity::info,
        "Which way the water should run is not told by this run's kind and ends; it was taken to "
        "run the way the pipe falls.",
        "Enter the kind of the run and of the structures at its ends."));
}

void find_force_main(const AlignedRun& run, const Analysis& analysis, Findings& findings) {
    if (!analysis.flow.pumped) return;
    findings.push_back(run_finding(
        run.run.id, Severity::info,
        "This line leaves a pump chamber and was taken for a force main: it may climb and stands "
        "full, so no slope is asked of it and no water in it is told as a belly.",
        "If it drains by itself, correct the kind of the structure that it leaves."));
}

void withhold_all(const Withheld& why, GradedRun& graded) {
    graded.start_invert_m.withheld = graded.end_invert_m.withheld = why;
    graded.min_cover_m.withheld = graded.max_cover_m.withheld = why;
}

// The rows of all runs, and why some of them give no profile.
struct DayRows {
    std::vector<RunRows> runs;
    std::vector<std::optional<Withheld>> held_back;  // by run
    HeightsNotUsed not_used;
};

void hold_back(const std::optional<Withheld>& why, Analysis& analysis) {
    if (!why) return;
    if (analysis.samples) analysis.why_no_profile = *why;
    analysis.samples.reset();
    analysis.evidence.reset();
    analysis.sags.reset();
}

GradedRun grade_run(const AlignedRun& run, const Flow& flow, RunRows rows,
                    const std::optional<Withheld>& held_back, const GradeOptions& options,
                    Findings& findings) {
    GradedRun graded;
    graded.id = run.run.id;
    graded.z_reference = rows.z_reference;
    Findings of_rows = std::move(rows.findings);
    findings.insert(findings.end(), of_rows.begin(), of_rows.end());

    Analysis analysis = analyse_run(run, flow, std::move(rows));
    hold_back(held_back, analysis);
    graded.flow_with_push = analysis.flow.with_push;
    graded.depth_rows_used =
        static_cast<int>(std::ranges::count_if(analysis.screening.used, says_height));
    if (analysis.samples) {
        add_profile(analysis, graded);
    } else {
        withhold_all(analysis.why_no_profile, graded);
    }
    find_no_profile(run, analysis, findings);
    find_rejected(run, graded, analysis, findings);
    find_scatter(run, analysis, findings);
    find_interpolated(run, analysis, findings);
    tell_tape_slips(graded.id, analysis.rows, analysis.screening.used, analysis.tape_slips,
                    run.run.diameter_m.value_or(0.0), findings);

    add_slope(run, analysis, options, graded, findings);
    find_slope_withheld(run, analysis, graded, findings);
    find_flow_unknown(run, analysis, graded, findings);
    find_force_main(run, analysis, findings);
    graded.limits = detection_limits(
        analysis, graded.slope ? std::optional(graded.slope->value) : std::nullopt);
    graded.limit_words = limit_words(analysis, graded.limits);
    graded.footage_limit = footage_limit(run, analysis.rows.length_m, analysis.rows.unit);
    add_bellies(run, analysis, graded, findings);
    graded.capacity_words =
        analysis.flow.pumped ? "Capacity not given: a pump drives the water of a force main."
        : graded.z_reference == ZReference::assumed_level_ground
            ? "Capacity not given, as the ground was only assumed level."
            : capacity_words(run.run, graded.slope, options.unit, options.design_flow_m3_per_s,
                             !graded.bellies.empty());
    return graded;
}

void check_table(const GradeOptions& options, Findings& findings) {
    if (is_slope_table(options.minimum_slope_table)) return;
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = fmt::format(
        "\"{}\" is no known table of minimum slopes; no slope is asked of any "
        "run.",
        options.minimum_slope_table);
    finding.what_to_do = "Choose IPC Table 704.1, UPC 708 or none.";
    findings.push_back(std::move(finding));
}

// No water stands deeper in a pipe than the pipe is wide. Nominal sizes are a little under the bore
// (common practice, no source).
void leave_out_more_than_the_bore(const SiteRun& run, LengthUnit unit, NotedWater& water,
                                  Findings& findings) {
    constexpr double over_nominal = 1.1;
    if (!run.diameter_m || !water.depth_m) return;
    const double bore_m = inside_diameter_m({*run.diameter_m, run.material});
    if (!(*water.depth_m > over_nominal * std::max(bore_m, *run.diameter_m))) return;
    findings.push_back(run_finding(
        run.id, Severity::caution,
        fmt::format("A note says that water stands {} deep, but the pipe is {} wide. That depth "
                    "was not used; that water stands there was.",
                    height_words(*water.depth_m, unit), height_words(*run.diameter_m, unit)),
        "Correct the depth in the column severity of the note, or the diameter of the run."));
    findings.back().consequence = Consequence::input_rejected;
    water.depth_m.reset();
}

// The camera is one for all runs, and so is the sign of its level.
DayRows rows_of_runs(const Lines& lines, const std::vector<Flow>& flows,
                     const GradeOptions& options, Findings& findings) {
    DayRows day;
    std::vector<RunRows>& all = day.runs;
    double log_odds = 0.0;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        std::vector<NotedWater> noted;
        for (const NotedWater& water : options.noted_water) {
            if (water.run != static_cast<int>(i)) continue;
            noted.push_back(water);
            leave_out_more_than_the_bore(lines.runs[i].run, options.unit, noted.back(), findings);
        }
        all.push_back(make_rows(lines.runs[i], options.z_reference, noted));
        all.back().unit = options.unit;
    }
    if (const auto why = doubt_ground_unit(lines, flows, all)) {
        day.held_back.assign(all.size(), why);
        return day;
    }
    const std::vector<int> exchanged =
        doubt_exchanged_heights(lines, flows, options.read_once, all);
    GroundSlips slips = leave_out_slipped_ground(lines, all);
    day.held_back = std::move(slips.held_back);
    day.not_used = std::move(slips.not_used);
    day.not_used.exchanged = exchanged;
    for (const RunRows& rows : all) log_odds += log_odds_downhill_positive(rows);
    for (std::size_t i = 0; i < all.size(); ++i) {
        settle_level_log(lines.runs[i].run.id, options.inclination_sign, log_odds, all[i]);
    }
    doubt_exchanged_tapes(lines, flows, all);
    settle_locator_wander(all);
    for (std::size_t i = 0; i < all.size(); ++i) {
        tell_slipped_end_depths(lines.runs[i].run.id, all[i]);
    }
    return day;
}

}  // namespace

}  // namespace grade

Profiles grade_lines(const Lines& lines, const GradeOptions& options) {
    Profiles profiles;
    grade::check_table(options, profiles.findings);
    std::vector<grade::Flow> flows;
    for (const AlignedRun& run : lines.runs) {
        flows.push_back(grade::flow_of(run.run, lines.structures));
    }
    grade::DayRows day = grade::rows_of_runs(lines, flows, options, profiles.findings);
    profiles.heights_not_used = std::move(day.not_used);
    grade::settle_flows(lines, day.runs, flows);
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        profiles.runs.push_back(grade::grade_run(lines.runs[i], flows[i], std::move(day.runs[i]),
                                                 day.held_back[i], options, profiles.findings));
    }
    return profiles;
}

}  // namespace sondeline
