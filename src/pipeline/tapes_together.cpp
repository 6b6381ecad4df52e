#include "pipeline/tapes_together.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "pipeline/taped_ends.hpp"

namespace sondeline {

namespace {

constexpr std::size_t fewest_ends = 4;
constexpr std::size_t fewest_places = 2;  // runs, and structures
// Ends whose heights above the depths scatter more than they should are not off alike.
constexpr double scatters_above = 2.5;  // χ² over its freedom
constexpr double locator_share = 0.03;  // of the depth
// In standard deviations of what a locator shares: one sound site in a hundred lies further out.
constexpr double beyond_a_locator = 2.6;
// In squares of standard deviations: how much better one bore explains it than the locator. Two
// sound sites in a hundred lie so high, as a locator is.
constexpr double explains_better = 4.0;
constexpr double about_a_bore = 0.35;  // how far from one bore it may lie, in bores

bool agree(const std::vector<TapedEnd>& ends, const Estimate& mean) {
    std::set<std::size_t> runs;
    std::set<int> structures;
    double square_sum = 0.0;
    for (const TapedEnd& end : ends) {
        runs.insert(end.run);
        structures.insert(end.structure);
        square_sum += std::pow((end.above_m.value - mean.value) / end.above_m.sd, 2);
    }
    return runs.size() >= fewest_places && structures.size() >= fewest_places &&
           square_sum <= scatters_above * static_cast<double>(ends.size() - 1);
}

double mean_of(const std::vector<TapedEnd>& ends, double TapedEnd::*member) {
    double sum = 0.0;
    for (const TapedEnd& end : ends) sum += end.*member;
    return sum / static_cast<double>(ends.size());
}

bool looks_like_crowns(double above_m, double sd_m, double bore_m) {
    if (std::abs(above_m - bore_m) > about_a_bore * bore_m) return false;
    const double by_locator = std::pow(above_m / sd_m, 2);
    const double by_bore = std::pow((above_m - bore_m) / sd_m, 2);
    return by_locator - by_bore >= explains_better;
}

Finding finding_of(const Estimate& above_m, bool crowns, std::size_t ends, LengthUnit unit) {
    const char* tapes = crowns ? "They may be taped to the top of each pipe, as that is about its "
                                 "inside, or from a point that stands higher or lower than the "
                                 "ground levelled there"
                               : "They may be taped from a rim, a riser or another point than the "
                                 "ground levelled there";
    Finding finding;
    finding.severity = Severity::caution;
    finding.where.file = "runs";
    finding.what = fmt::format(
        "The inverts taped on this site, {} in all, lie {} {} the depths along their pipes, all "
        "alike, give or take {}: more than the depths of one locator are mostly off by. {}; or the "
        "locator's zero is off, or the heights of the ground at the fixes and at the structures "
        "come from two sources. Which it is cannot be told. The bounds of inverts and depths were "
        "widened to reach both; the slope of a pipe taped at both ends does not hang on it.",
        ends, grade::height_words(std::abs(above_m.value), unit),
        above_m.value > 0.0 ? "above" : "below", grade::height_words(normal_95 * above_m.sd, unit),
        tapes);
    finding.what_to_do =
        "Tape one invert again, down to the lowest point inside the pipe and from the point that "
        "was levelled, take the locator's depth of a transmitter that lies there, and level fixes "
        "and structures in one loop.";
    return finding;
}

void widen(double reach_m, Bounded& bounded) {
    (reach_m > 0.0 ? bounded.lo95 : bounded.hi95) -= reach_m;
}

void widen(double reach_m, Figure<Bounded>& figure) {
    if (figure) widen(reach_m, *figure.value);
}

bool is_taped(const AlignedRun& run, VerticalKind end) {
    return std::ranges::any_of(run.vertical,
                               [&](const StationedVertical& seen) { return seen.row.kind == end; });
}

// Of a run that is taped at one end, where the tape turns it against its depths: its far end may
// stand off either way.
void turn_by(double reach_m, bool at_start, GradedRun& graded) {
    const auto turned = [](Estimate& estimate, double by) {
        estimate.sd = std::hypot(estimate.sd, by / normal_95);
    };
    if (graded.fall_m) turned(*graded.fall_m.value, reach_m);
    const double length_m = graded.profile.empty() ? 0.0 : graded.profile.back().station_m;
    if (!(length_m > 0.0)) return;
    for (ProfilePoint& point : graded.profile) {
        const double share = point.station_m / length_m;
        const double far_m = -reach_m * (at_start ? share : 1.0 - share);
        widen(far_m, point.z_m);
        if (point.cover_m) widen(-far_m, *point.cover_m);
    }
    widen(-reach_m, at_start ? graded.end_invert_m : graded.start_invert_m);
    widen(reach_m, graded.min_cover_m);
    widen(reach_m, graded.max_cover_m);
    if (!graded.slope) return;
    turned(*graded.slope.value, reach_m / length_m);
    for (Stretch& stretch : graded.stretches) {
        if (!stretch.slope) continue;
        turned(*stretch.slope.value, reach_m / length_m);
        const bool told =
            stretch.verdict == SlopeVerdict::meets || stretch.verdict == SlopeVerdict::below;
        if (told && std::abs(stretch.slope->value - *stretch.minimum_slope) <
                        normal_95 * stretch.slope->sd) {
            stretch.verdict = SlopeVerdict::cannot_tell;
        }
    }
}

void reach_both_of_run(double reach_m, GradedRun& graded) {
    for (ProfilePoint& point : graded.profile) {
        widen(reach_m, point.z_m);
        point.z_sd_m = std::hypot(point.z_sd_m, reach_m / normal_95);
        // Deeper where the invert lies lower.
        if (point.cover_m) widen(-reach_m, *point.cover_m);
    }
    widen(reach_m, graded.start_invert_m);
    widen(reach_m, graded.end_invert_m);
    widen(-reach_m, graded.min_cover_m);
    widen(-reach_m, graded.max_cover_m);
}

}  // namespace

std::optional<TapesTogether> doubt_tapes_together(LengthUnit unit, Lines& lines) {
    const std::vector<TapedEnd> ends = taped_ends(lines);
    if (ends.size() < fewest_ends) return std::nullopt;
    const Estimate above_m = mean_above_m(ends);
    if (!agree(ends, above_m)) return std::nullopt;
    const double depth_m = mean_of(ends, &TapedEnd::depth_m);
    const double bore_m = mean_of(ends, &TapedEnd::bore_m);
    const double sd_m = std::hypot(locator_sd_m, locator_share * depth_m, above_m.sd);
    const bool crowns = looks_like_crowns(above_m.value, sd_m, bore_m);
    if (!crowns && std::abs(above_m.value) < beyond_a_locator * sd_m) return std::nullopt;
    lines.findings.push_back(finding_of(above_m, crowns, ends.size(), unit));
    return TapesTogether{above_m.value, crowns ? std::max(above_m.value, bore_m) : above_m.value};
}

void reach_both(const TapesTogether& together, const Lines& lines, Profiles& profiles) {
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const bool at_start = is_taped(lines.runs[r], VerticalKind::taped_start);
        const bool at_end = is_taped(lines.runs[r], VerticalKind::taped_end);
        if (!at_start && !at_end) continue;
        reach_both_of_run(together.reach_m, profiles.runs[r]);
        if (at_start != at_end) turn_by(together.reach_m, at_start, profiles.runs[r]);
    }
}

}  // namespace sondeline
