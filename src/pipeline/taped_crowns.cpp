#include "pipeline/taped_crowns.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/phrases.hpp"
#include "grade/pipe_size.hpp"
#include "pipeline/taped_ends.hpp"

namespace sondeline {

namespace {

constexpr std::size_t fewest_here = 2;
constexpr std::size_t fewest_others = 2;
// In squares of standard deviations: how much better the crown explains it than the invert (set by
// crown_tapes, so that 2 rightly taped sites of 100 are named at most).
constexpr double explains_better = 5.5;
// Where the other tapes lie higher than this, in bores, they may be taped to the top as well.
constexpr double others_at_most = 0.65;
// How far from one bore it may lie, in bores: more is another slip.
constexpr double about_a_bore = 0.35;
// In standard deviations: how far off all tapes of a structure lie that were taken from another
// point, and within which they agree on that.
constexpr double beyond_chance = 3.3;
constexpr double agrees_within = 2.5;
// Two lids of a tank that are named each by itself lie no further apart (common practice, no
// source).
constexpr double longest_tank_m = 4.0;

bool agree(const std::vector<TapedEnd>& ends, double mean_m) {
    return std::ranges::all_of(ends, [&](const TapedEnd& end) {
        return std::abs(end.above_m.value - mean_m) < agrees_within * end.above_m.sd;
    });
}

// Structures whose tapes are taken together: one, or both sides of a tank.
using Place = std::vector<int>;

// The tapes of a structure against all others of the job, less what the locator is off by.
struct Apart {
    Place place;
    std::vector<TapedEnd> here;
    double bore_m = 0.0;
    Estimate others_m;
    Estimate above_m;
};

bool holds(const Place& place, const std::optional<int>& structure) {
    return structure && std::ranges::find(place, *structure) != place.end();
}

bool one_tank(const AlignedStructure& one, const AlignedStructure& other) {
    if (one.kind != StructureKind::tank || other.kind != StructureKind::tank) return false;
    if (!one.plan || !other.plan) return false;
    return std::hypot(one.plan->at.e_m - other.plan->at.e_m,
                      one.plan->at.n_m - other.plan->at.n_m) < longest_tank_m;
}

std::vector<Place> places_of(const std::vector<AlignedStructure>& structures) {
    std::vector<Place> places;
    for (std::size_t s = 0; s < structures.size(); ++s) {
        const auto same = std::ranges::find_if(places, [&](const Place& place) {
            return one_tank(structures[static_cast<std::size_t>(place.front())], structures[s]);
        });
        if (same == places.end()) {
            places.push_back({static_cast<int>(s)});
        } else {
            same->push_back(static_cast<int>(s));
        }
    }
    return places;
}

std::optional<Apart> apart_at(const std::vector<TapedEnd>& ends, const Place& place) {
    Apart apart;
    apart.place = place;
    std::vector<TapedEnd> elsewhere;
    for (const TapedEnd& end : ends) {
        (holds(place, end.structure) ? apart.here : elsewhere).push_back(end);
    }
    if (apart.here.size() < fewest_here || elsewhere.size() < fewest_others) return std::nullopt;
    const Estimate mine = mean_above_m(apart.here);
    const Estimate others = mean_above_m(elsewhere);
    // Else it is one of those that makes these look off.
    if (!agree(elsewhere, others.value)) return std::nullopt;
    const double known = std::pow(locator_sd_m / std::hypot(locator_sd_m, others.sd), 2);
    const Estimate locator{known * others.value, std::sqrt(known) * others.sd};
    apart.others_m = others;
    apart.above_m = {mine.value - locator.value, std::hypot(mine.sd, locator.sd)};
    for (const TapedEnd& end : apart.here) apart.bore_m += end.bore_m;
    apart.bore_m /= static_cast<double>(apart.here.size());
    return apart;
}

bool looks_like_crowns(const Apart& apart) {
    if (apart.others_m.value > others_at_most * apart.bore_m) return false;
    const Estimate& above = apart.above_m;
    if (std::abs(above.value - apart.bore_m) > about_a_bore * apart.bore_m) return false;
    const double as_invert = std::pow(above.value / above.sd, 2);
    const double as_crown = std::pow((above.value - apart.bore_m) / above.sd, 2);
    return as_invert - as_crown >= explains_better;
}

// All off by one height, and the ground is not: it would be off by the same, were its own height
// wrong (ground_slips.hpp).
bool looks_like_another_point(const Apart& apart) {
    if (std::abs(apart.above_m.value) < beyond_chance * apart.above_m.sd) return false;
    if (!agree(apart.here, mean_above_m(apart.here).value)) return false;
    return std::ranges::all_of(apart.here, [&](const TapedEnd& end) {
        return end.ground_above_m && std::abs(end.ground_above_m->value) <
                                         std::abs(end.ground_above_m->value - apart.above_m.value);
    });
}

bool taped_at(const AlignedRun& run, const StationedVertical& seen, const Place& place) {
    return (seen.row.kind == VerticalKind::taped_start && holds(place, run.run.from)) ||
           (seen.row.kind == VerticalKind::taped_end && holds(place, run.run.to));
}

std::string id_of(const Place& place, const Lines& lines) {
    std::vector<std::string> ids;
    ids.reserve(place.size());
    for (const int s : place) ids.push_back(lines.structures[static_cast<std::size_t>(s)].id.text);
    return fmt::format("{}", fmt::join(ids, " and "));
}

std::vector<std::string> runs_taped_at(const Lines& lines, const Place& place) {
    std::vector<std::string> runs;
    for (const AlignedRun& run : lines.runs) {
        const bool taped = std::ranges::any_of(run.vertical, [&](const StationedVertical& seen) {
            return taped_at(run, seen, place);
        });
        if (taped) runs.push_back(run.run.id.text);
    }
    return runs;
}

// Each tape of a structure is off by nothing or, likelier, by that much: that is its deviation.
void reach(double by_m, const Place& place, Lines& lines) {
    for (AlignedRun& run : lines.runs) {
        for (StationedVertical& seen : run.vertical) {
            if (!taped_at(run, seen, place)) continue;
            seen.row.depth_m.sd = std::max(seen.row.depth_m.sd, by_m);
        }
    }
}

void reach_to_invert(const Place& place, Lines& lines) {
    for (AlignedRun& run : lines.runs) {
        if (!run.run.diameter_m) continue;
        const double bore_m = grade::inside_diameter_m({*run.run.diameter_m, run.run.material});
        for (StationedVertical& seen : run.vertical) {
            if (!taped_at(run, seen, place)) continue;
            seen.row.depth_m.sd = std::max(seen.row.depth_m.sd, bore_m);
        }
    }
}

// "The inverts taped at box (EL, L1) lie 5.9 in (15 cm) below the depths along these pipes …"
std::string lie_words(const Apart& apart, LengthUnit unit, const Lines& lines) {
    return fmt::format(
        "The inverts taped at {} ({}) lie {} {} the depths along these pipes, give or take {}, and "
        "those taped elsewhere do not.",
        id_of(apart.place, lines), fmt::join(runs_taped_at(lines, apart.place), ", "),
        grade::height_words(std::abs(apart.above_m.value), unit),
        apart.above_m.value > 0.0 ? "above" : "below",
        grade::height_words(normal_95 * apart.above_m.sd, unit));
}

Finding crown_finding(const std::string& lie) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = lie +
                   " That is about the inside of the pipe: they look taped to its top. The bounds "
                   "of these tapes were widened to reach its invert.";
    finding.what_to_do =
        "Tape again, down to the lowest point inside each pipe, and write that in the runs table.";
    return finding;
}

Finding point_finding(const std::string& lie, double above_m) {
    Finding finding;
    finding.severity = Severity::caution;
    finding.what = fmt::format(
        "{} They look taped from a point that stands {} than the ground levelled there{}. The "
        "bounds of these tapes were widened to reach the depths.",
        lie, above_m > 0.0 ? "lower" : "higher",
        above_m > 0.0 ? "" : ", such as the rim of a riser");
    finding.what_to_do =
        "Tape again from the point that was levelled, or level the point that was taped from.";
    return finding;
}

// The place that lies furthest off, in standard deviations, of those that look off.
std::optional<Apart> worst_place(const std::vector<Place>& places,
                                 const std::vector<TapedEnd>& ends) {
    const auto t = [](const Apart& one) { return std::abs(one.above_m.value) / one.above_m.sd; };
    std::optional<Apart> worst;
    for (const Place& place : places) {
        const auto apart = apart_at(ends, place);
        if (!apart || (worst && t(*apart) <= t(*worst))) continue;
        if (looks_like_crowns(*apart) || looks_like_another_point(*apart)) worst = apart;
    }
    return worst;
}

void doubt(const Apart& apart, LengthUnit unit, Lines& lines) {
    const std::string lie = lie_words(apart, unit, lines);
    const bool crowns = looks_like_crowns(apart);
    lines.findings.push_back(crowns ? crown_finding(lie) : point_finding(lie, apart.above_m.value));
    lines.findings.back().where.structure =
        lines.structures[static_cast<std::size_t>(apart.place.front())].id.text;
    if (crowns) {
        reach_to_invert(apart.place, lines);
    } else {
        reach(std::abs(apart.above_m.value), apart.place, lines);
    }
}

}  // namespace

void doubt_taped_crowns(LengthUnit unit, Lines& lines) {
    std::vector<TapedEnd> ends = taped_ends(lines);
    const std::vector<Place> places = places_of(lines.structures);
    while (const auto apart = worst_place(places, ends)) {
        doubt(*apart, unit, lines);
        // The next is not held against tapes that are off themselves.
        std::erase_if(ends,
                      [&](const TapedEnd& end) { return holds(apart->place, end.structure); });
    }
}

}  // namespace sondeline
