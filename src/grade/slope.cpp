#include "grade/slope.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/bedding.hpp"
#include "grade/normal.hpp"
#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

constexpr double kCertain = 0.975;
constexpr int kFewestRows = 3;
constexpr double kShortestSpan_m = 5.0;
constexpr double kWorstSd = 0.005;

const char* const kMeasureBetter =
    "Tape the inverts at both ends from levelled ground, or take more depths with ground "
    "elevations.";

// Both ends taped already: then it is the heights they hang from that leave the slope unsure.
bool taped_at_both_ends(const Analysis& analysis) {
    constexpr double at_end_m = 0.5;
    const auto taped_at = [&](double station_m) {
        return std::ranges::any_of(analysis.screening.used, [&](const Row& row) {
            return is_tape(row) && std::abs(row.station_m - station_m) <= at_end_m;
        });
    };
    return taped_at(0.0) && taped_at(analysis.rows.length_m);
}

std::string what_would_settle(const Analysis& analysis) {
    if (analysis.rows.tapes_look_exchanged) {
        return "Tape the inverts again: two of them look exchanged.";
    }
    if (analysis.rows.heights_look_exchanged) {
        return "Compare the rod readings at its structures with the field book: two look "
               "exchanged.";
    }
    std::string again = tape_again_words(analysis.screening.used, analysis.tape_slips);
    if (!again.empty()) return again;
    if (!taped_at_both_ends(analysis)) return kMeasureBetter;
    return "The inverts at both ends are taped already: level the ground there again, in a loop "
           "that closes, or check the levels for a reading a whole foot or a decimal off.";
}

// Where the water may run either way, only a pipe that falls too little both ways has a verdict.
SlopeVerdict verdict_of(const Slope& slope, double minimum, const Flow& flow) {
    const double enough = slope.probability_above(minimum);
    if (!flow.in_question) return slope_verdict(enough);
    const SlopeVerdict either = slope_verdict(enough + 1.0 - slope.probability_above(-minimum));
    return either == SlopeVerdict::below ? either : SlopeVerdict::cannot_tell;
}

std::optional<Withheld> too_few_rows(const Analysis& analysis, const Reach& reach) {
    int rows = 0;
    double first_m = reach.to_m;
    double last_m = reach.from_m;
    for (const Row& row : analysis.screening.used) {
        if (!says_height(row) || row.station_m < reach.from_m - 1e-9 ||
            row.station_m > reach.to_m + 1e-9) {
            continue;
        }
        ++rows;
        first_m = std::min(first_m, row.station_m);
        last_m = std::max(last_m, row.station_m);
    }
    if (rows >= kFewestRows && last_m - first_m >= kShortestSpan_m) return std::nullopt;
    if (rows < kFewestRows) {
        return Withheld{fmt::format("Only {} usable depth{} here; three are needed, so that one "
                                    "mistake shows.",
                                    rows, rows == 1 ? "" : "s"),
                        kMeasureBetter};
    }
    return Withheld{fmt::format("The depths here span only {}; {} are needed.",
                                station_words(last_m - first_m, analysis.rows.unit),
                                station_words(kShortestSpan_m, analysis.rows.unit)),
                    "Take depths further apart."};
}

std::optional<Withheld> no_heights(const Analysis& analysis) {
    if (!analysis.samples) return analysis.why_no_profile;
    if (is_height(analysis.rows.z_reference)) return std::nullopt;
    return Withheld{
        "No ground elevations are known along this run, and depth alone does not tell slope.",
        "Level the ground at the fixes and structures, or give it with each fix; a ground that is "
        "level can be declared in the job table."};
}

// Of a slope that could be computed: what its data leave unsure, the ground assumed level apart.
std::optional<Withheld> too_unsure(const Analysis& analysis, const Slope& slope) {
    double variance = slope.estimate.sd * slope.estimate.sd;
    if (analysis.rows.z_reference == ZReference::assumed_level_ground) {
        variance -= kAssumedGroundGradeSd * kAssumedGroundGradeSd;
    }
    if (variance <= kWorstSd * kWorstSd) return std::nullopt;
    return Withheld{fmt::format("The data leave the slope unsure by {:.2f} % (one standard "
                                "deviation); 0.5 % is the most that is given.",
                                100.0 * std::sqrt(variance)),
                    what_would_settle(analysis)};
}

double relative_length_sd(const AlignedRun& run, double length_m) {
    return length_m > 0.0 && std::isfinite(run.length_sd_m) ? run.length_sd_m / length_m : 0.0;
}

std::vector<Reach> reaches(const Analysis& analysis) {
    std::vector<Reach> all;
    double from_m = 0.0;
    if (analysis.evidence && is_height(analysis.rows.z_reference)) {
        for (const double at_m : likely_breaks_m(*analysis.evidence)) {
            if (at_m <= from_m || at_m >= analysis.rows.length_m) continue;
            all.push_back({from_m, at_m});
            from_m = at_m;
        }
    }
    all.push_back({from_m, analysis.rows.length_m});
    return all;
}

Stretch stretch_over(const AlignedRun& run, const Analysis& analysis, const SlopeAsked& asked,
                     const Reach& reach) {
    Stretch stretch;
    stretch.from_m = reach.from_m;
    stretch.to_m = reach.to_m;
    stretch.minimum_slope = asked.minimum;
    stretch.minimum_source = asked.source;
    stretch.verdict =
        asked.minimum || asked.kind_doubted ? SlopeVerdict::cannot_tell : SlopeVerdict::not_asked;
    std::optional<Withheld> why = no_heights(analysis);
    if (!why) why = too_few_rows(analysis, reach);
    if (!why) {
        const Slope slope =
            slope_over(analysis, reach, relative_length_sd(run, analysis.rows.length_m));
        why = too_unsure(analysis, slope);
        if (!why) {
            stretch.slope = figure(slope.estimate);
            const bool assumed = analysis.rows.z_reference == ZReference::assumed_level_ground;
            if (asked.minimum && !assumed) {
                stretch.verdict = verdict_of(slope, *asked.minimum, analysis.flow);
            }
        }
    }
    if (why) stretch.slope.withheld = *why;
    return stretch;
}

bool surely_falls_back(const Slope& slope) {
    return slope.probability_above(0.0) <= 1.0 - kCertain;
}

void find_wrong_fall(const AlignedRun& run, const Analysis& analysis, const Slope& slope,
                     Findings& findings) {
    if (!analysis.flow.known || !surely_falls_back(slope)) return;
    findings.push_back(run_finding(
        run.run.id, analysis.flow.level ? Severity::caution : Severity::problem,
        fmt::format("This run falls the wrong way for its kind: {} in the direction the water "
                    "should run, sd {:.2f} %.",
                    slope_words(slope.estimate.value), 100.0 * slope.estimate.sd),
        "Check that from and to are the right way about and that the levels are right; if they "
        "are, the pipe holds water and needs the attention of a licensed installer."));
}

void find_too_steep(const AlignedRun& run, const SlopeAsked& asked, const Slope& slope,
                    Findings& findings) {
    if (!asked.at_most || slope.probability_above(*asked.at_most) < kCertain) return;
    findings.push_back(run_finding(
        run.run.id, Severity::info,
        fmt::format("This line falls {}, sd {:.2f} %. Such lines are asked to be {}.",
                    slope_words(slope.estimate.value), 100.0 * slope.estimate.sd, asked.source),
        "Compare with the rule in force at the site; a line that falls loads its low end."));
}

// A verdict must not hide that one tape carries it.
std::string slip_words(const Analysis& analysis, const Stretch& stretch) {
    const double slip_m =
        (*stretch.minimum_slope - stretch.slope->value) * (stretch.to_m - stretch.from_m);
    if (!may_go_unseen(slip_m, analysis.tape_slips)) return "";
    return fmt::format(
        "Tape the inverts at its ends again first: one that is {} off would make it fall enough, "
        "and the depths would not show that for sure. ",
        height_words(slip_m, analysis.rows.unit));
}

void find_below_minimum(const AlignedRun& run, const Analysis& analysis, const Stretch& stretch,
                        Findings& findings) {
    if (stretch.verdict != SlopeVerdict::below) return;
    const LengthUnit unit = analysis.rows.unit;
    Finding finding = run_finding(
        run.run.id, Severity::caution,
        fmt::format("From {} to {} the fall is {}, sd {:.2f} %, less than the {} of {}.",
                    station_words(stretch.from_m, unit), station_words(stretch.to_m, unit),
                    slope_words(stretch.slope->value), 100.0 * stretch.slope->sd,
                    slope_words(*stretch.minimum_slope), stretch.minimum_source),
        slip_words(analysis, stretch) +
            "Compare with the rule in force at the site and tell the health department or "
            "licensed designer.");
    finding.where.station_m = stretch.from_m;
    findings.push_back(std::move(finding));
}

// Of ground that was only assumed level; it may fall as the pipe seems to rise.
void find_assumed_ground(const AlignedRun& run, const Analysis& analysis, const Slope& slope,
                         Findings& findings) {
    std::string what =
        "The slope of this run rests on ground that was only assumed level; ground that falls "
        "0.5 % unseen changes the slope by as much.";
    if (analysis.flow.known && !analysis.flow.pumped && surely_falls_back(slope)) {
        what += fmt::format(
            " Taken so, the run would rise in the direction the water should run, by {}: ground "
            "that falls that way explains it as well as a pipe that does not drain.",
            slope_words(-slope.estimate.value));
    }
    findings.push_back(
        run_finding(run.run.id, Severity::caution, std::move(what),
                    "Level the ground at the fixes before relying on this slope; no verdict is "
                    "given."));
}

}  // namespace

namespace {

// Draws of which some say that a tape is off lie further out on one side than their standard
// deviation tells, and most of them lie closer: the sd is that of bounds that hold 95 %.
double sd_of_bounds(std::vector<double> draws, double mean) {
    const Bounded bounds = median_and_bounds(draws);
    return std::max(bounds.hi95 - mean, mean - bounds.lo95) / normal_95;
}

}  // namespace

double Slope::probability_above(double slope) const {
    double sum = 0.0;
    for (const double draw : draws) sum += normal_cdf((draw - slope) / own_sd);
    return sum / static_cast<double>(draws.size());
}

Slope slope_over(const Analysis& analysis, const Reach& reach, double relative_length_sd) {
    const Samples& samples = *analysis.samples;
    const Eigen::Index a = station_index(samples, reach.from_m);
    const Eigen::Index b = std::max(a + 1, station_index(samples, reach.to_m));
    const double length_m = samples.stations_m[static_cast<std::size_t>(b)] -
                            samples.stations_m[static_cast<std::size_t>(a)];
    const double sign = analysis.flow.with_push ? 1.0 : -1.0;
    Slope slope;
    const Unevenness uneven =
        unevenness(analysis, {samples.stations_m[static_cast<std::size_t>(a)],
                              samples.stations_m[static_cast<std::size_t>(b)]});
    for (Eigen::Index k = 0; k < samples.count(); ++k) {
        const double fall_m = samples.z_m(a, k) - samples.z_m(b, k) + uneven.mean_m(k);
        slope.draws.push_back(sign * fall_m / length_m);
    }
    slope.estimate = mean_and_sd(slope.draws);
    const auto likely = [](const TapeSlip& slip) { return slip.probability > 0.0; };
    if (std::ranges::any_of(analysis.tape_slips, likely)) {
        slope.estimate.sd = sd_of_bounds(slope.draws, slope.estimate.value);
    }
    slope.own_sd = std::hypot(uneven.sd_m / length_m, slope.estimate.value * relative_length_sd);
    slope.estimate.sd = std::hypot(slope.estimate.sd, slope.own_sd);
    return slope;
}

SlopeVerdict slope_verdict(double probability_above_minimum) {
    if (probability_above_minimum >= kCertain) return SlopeVerdict::meets;
    if (probability_above_minimum <= 1.0 - kCertain) return SlopeVerdict::below;
    return SlopeVerdict::cannot_tell;
}

void add_slope(const AlignedRun& run, const Analysis& analysis, const GradeOptions& options,
               GradedRun& graded, Findings& findings) {
    const SlopeAsked asked =
        analysis.flow.pumped ? nothing_asked_of_a_force_main()
                             : slope_asked(options.minimum_slope_table,
                                           {run.run.kind, run.run.diameter_m, run.run.kind_doubt});
    const Reach whole{0.0, analysis.rows.length_m};
    const Stretch all = stretch_over(run, analysis, asked, whole);
    graded.slope = all.slope;
    graded.fall_m.withheld = all.slope.withheld;
    for (const Reach& reach : reaches(analysis)) {
        graded.stretches.push_back(stretch_over(run, analysis, asked, reach));
        find_below_minimum(run, analysis, graded.stretches.back(), findings);
    }
    if (!graded.slope) return;

    graded.fall_m =
        figure(Estimate{graded.slope->value * whole.to_m, graded.slope->sd * whole.to_m});
    const Slope slope =
        slope_over(analysis, whole, relative_length_sd(run, analysis.rows.length_m));
    if (analysis.rows.z_reference == ZReference::assumed_level_ground) {
        find_assumed_ground(run, analysis, slope, findings);
        return;
    }
    if (!analysis.flow.pumped) find_wrong_fall(run, analysis, slope, findings);
    find_too_steep(run, asked, slope, findings);
}

}  // namespace sondeline::grade
