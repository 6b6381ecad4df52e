#include "survey/ties.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

int index_of(const std::vector<SiteStructure>& structures, const std::string& id) {
    const auto found = std::ranges::find_if(
        structures, [&](const SiteStructure& structure) { return structure.id.text == id; });
    return found == structures.end() ? -1 : static_cast<int>(found - structures.begin());
}

// 0.01 m and a thousandth of the distance, unless said otherwise.
double tape_sd_m(const Tie& tie) {
    return tie.accuracy_m.value_or(0.01 + 0.001 * tie.distance_m);
}

constexpr std::string_view by_swing_ties = "swing ties from ";
constexpr double given_ground_sd_m = 0.02;
constexpr double steepest_rise_share = 0.5;

// Elevation of a mark's ground, of levels first.
std::optional<Estimate> ground_of(const std::string& id, const Job& job, const LevelNet& levels) {
    if (const auto levelled = levels.points.find(id); levelled != levels.points.end()) {
        return levelled->second.elevation_m;
    }
    const auto found = std::ranges::find_if(
        job.structures, [&](const Structure& structure) { return structure.id.text == id; });
    if (found == job.structures.end() || !found->ground_m) return std::nullopt;
    const bool stated = found->v_accuracy_m && found->v_accuracy_m->value > 0.0;
    return Estimate{found->ground_m->value,
                    stated ? found->v_accuracy_m->value : given_ground_sd_m};
}

// The tie as a level distance on the ground.
Estimate on_the_level(const Tie& tie, const Job& job, const LevelNet& levels) {
    const Estimate taped{tie.distance_m, tape_sd_m(tie)};
    const std::optional<Estimate> a = ground_of(tie.point, job, levels);
    const std::optional<Estimate> b = ground_of(tie.reference, job, levels);
    if (!a || !b) return taped;
    return level_distance_m(taped, {a->value - b->value, std::hypot(a->sd, b->sd)});
}

struct TiesOfPoint {
    int point = -1;
    std::vector<TapedDistance> tapes;
    std::vector<std::string> references;
    TieSide side = TieSide::unknown;
    SourceCell source;
};

// The ties of one structure to marks whose position is known by now.
TiesOfPoint ties_of(int point, const Job& job, const SiteFrame& frame, const LevelNet& levels,
                    const std::vector<SiteStructure>& structures) {
    TiesOfPoint ties;
    ties.point = point;
    for (const Tie& tie : job.ties) {
        if (index_of(structures, tie.point) != point) continue;
        const int reference = index_of(structures, tie.reference);
        if (reference < 0) continue;
        const auto& mark = structures[static_cast<std::size_t>(reference)].surveyed;
        if (!mark) continue;
        if (ties.tapes.empty()) ties.source = tie.source;
        const Estimate level = on_the_level(tie, job, levels);
        ties.tapes.push_back(
            {mark->at, mark->cov, level.value * frame.frame.scale_factor, level.sd});
        ties.references.push_back(tie.reference);
        if (tie.side != TieSide::unknown) ties.side = tie.side;
    }
    return ties;
}

// Slips of a whole foot or metre, or of ten, in reading or writing down a tape (common practice, no
// source).
std::vector<double> usual_slips_m(LengthUnit unit) {
    const double one_m = metres_per(unit);
    return {one_m, -one_m, 10.0 * one_m, -10.0 * one_m};
}

// The tape that fits the others when a usual slip is taken off, or the one of two; where the marks
// lie so that more would do, that a slip would explain it.
std::string slip_words(const TiesOfPoint& ties, LengthUnit unit) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i < ties.tapes.size(); ++i) {
        for (const double slip_m : usual_slips_m(unit)) {
            std::vector<TapedDistance> mended = ties.tapes;
            const double as_taped_m = mended[i].distance_m;
            mended[i].distance_m -= slip_m;
            if (!(mended[i].distance_m > 0.0) ||
                position_from_ties(mended, ties.side, std::nullopt).outcome != TieOutcome::solved) {
                continue;
            }
            words.push_back(fmt::format("{} from {} in place of {}",
                                        length_words(mended[i].distance_m, unit, 1),
                                        ties.references[i], length_words(as_taped_m, unit, 1)));
        }
    }
    if (words.empty()) return "";
    const char* const whole = unit == LengthUnit::metre ? "metre" : "foot";
    if (words.size() > 2) {
        return fmt::format(
            " A slip of a whole {} in one of them would explain it; which one they "
            "do not tell.",
            whole);
    }
    return fmt::format(" They would agree with {}: a slip of a whole {} is common.",
                       fmt::join(words, ", or with "), whole);
}

void report(const TiesOfPoint& ties, const TiePosition& solved, const std::string& id,
            LengthUnit unit, Findings& findings) {
    const auto tell = [&](Severity severity, const std::string& what, const std::string& todo) {
        Where where = where_is(ties.source);
        where.structure = id;
        findings.push_back({severity, where, what, todo});
    };
    switch (solved.outcome) {
        case TieOutcome::solved: return;
        case TieOutcome::too_few:
            tell(Severity::caution,
                 fmt::format("{} has one usable tie; two marks with positions are needed.", id),
                 "Tape it from a second mark, or give the marks' positions.");
            return;
        case TieOutcome::ambiguous:
            tell(Severity::caution,
                 fmt::format("The ties of {} allow two places, one on either side of the marks.",
                             id),
                 "Fill in the column side (left or right of the line from the first mark to the "
                 "second), or give a rough position.");
            return;
        case TieOutcome::do_not_meet:
            tell(Severity::problem,
                 fmt::format("The tapes of {} do not meet: they miss each other by {}.", id,
                             length_words(solved.gap_m, unit, 2)),
                 "Measure again; look for a wrong mark or unit.");
            return;
        case TieOutcome::does_not_fit:
            tell(Severity::problem,
                 fmt::format("The ties of {} contradict each other by more than their accuracy.{}",
                             id, slip_words(ties, unit)),
                 "Measure again; look for a wrong mark or unit. No position was taken from them.");
            return;
    }
}

// How far a place moves when one of its two tapes is off: along the other circle, which the first
// crosses at an angle γ, by 1/sin γ of the error.
double moves_by(const std::vector<TapedDistance>& tapes, const PlanPoint& at) {
    const auto ray = [&](std::size_t i) {
        return std::pair{at.e_m - tapes[i].from.e_m, at.n_m - tapes[i].from.n_m};
    };
    const auto [e1, n1] = ray(0);
    const auto [e2, n2] = ray(1);
    const double sine = std::abs(e1 * n2 - n1 * e2) / (std::hypot(e1, n1) * std::hypot(e2, n2));
    constexpr double nearly_on_one_line = 0.1;
    return 1.0 / std::max(sine, nearly_on_one_line);
}

TieSide side_of(const std::vector<TapedDistance>& tapes, const PlanPoint& at) {
    const PlanPoint& first = tapes[0].from;
    const PlanPoint& second = tapes[1].from;
    const double cross = (second.e_m - first.e_m) * (at.n_m - first.n_m) -
                         (second.n_m - first.n_m) * (at.e_m - first.e_m);
    return cross > 0.0 ? TieSide::left : TieSide::right;
}

// Each of two tapes read a whole foot (metre) too long or too short.
UncheckedTapes unchecked(const Site& site, int structure, const std::vector<TieObservation>& ties) {
    std::vector<TapedDistance> tapes;
    for (const TieObservation& tie : ties) {
        const PlanFix& mark = *site.structures[static_cast<std::size_t>(tie.reference)].surveyed;
        tapes.push_back(
            {mark.at, mark.cov, tie.distance_m.value * site.frame.scale_factor, tie.distance_m.sd});
    }
    const PlanPoint& at = site.structures[static_cast<std::size_t>(structure)].surveyed->at;
    UncheckedTapes all{structure, moves_by(tapes, at), {}};
    const double whole_m = metres_per(site.job_unit);
    for (std::size_t i = 0; i < tapes.size(); ++i) {
        for (const double slip_m : {whole_m, -whole_m}) {
            std::vector<TapedDistance> mended = tapes;
            mended[i].distance_m -= slip_m;
            if (!(mended[i].distance_m > 0.0)) continue;
            const TiePosition place = position_from_ties(mended, side_of(tapes, at), std::nullopt);
            if (place.outcome != TieOutcome::solved) continue;
            const double taped_m = ties[i].distance_m.value;
            all.slips.push_back({ties[i].reference, taped_m, taped_m - slip_m, place.position.at});
        }
    }
    return all;
}

void list_observations(const Job& job, const LevelNet& levels,
                       const std::vector<SiteStructure>& structures, const std::vector<bool>& bad,
                       std::vector<TieObservation>& observations) {
    for (const Tie& tie : job.ties) {
        const int point = index_of(structures, tie.point);
        const int reference = index_of(structures, tie.reference);
        if (point < 0 || reference < 0 || bad[static_cast<std::size_t>(point)]) continue;
        observations.push_back({point, reference, on_the_level(tie, job, levels),
                                fmt::format("tie {} from {}", tie.point, tie.reference)});
    }
}

}  // namespace

Estimate level_distance_m(const Estimate& taped_m, const Estimate& rise_m) {
    const double square = taped_m.value * taped_m.value - rise_m.value * rise_m.value;
    if (std::abs(rise_m.value) > steepest_rise_share * taped_m.value || !(square > 0.0)) {
        return taped_m;
    }
    const double level = std::sqrt(square);
    return {level,
            std::hypot(taped_m.value / level * taped_m.sd, rise_m.value / level * rise_m.sd)};
}

void apply_ties(const Job& job, const SiteFrame& frame, const LevelNet& levels, LengthUnit unit,
                std::vector<SiteStructure>& structures, std::vector<TieObservation>& observations,
                Findings& findings) {
    std::vector<bool> bad(structures.size(), false);
    std::vector<bool> settled(structures.size(), false);
    // A structure placed by ties may itself be the mark of another, so go round until nothing new
    // comes; `last` reports what is left.
    for (bool last = false, again = true; again; again = !last) {
        bool grew = false;
        for (std::size_t i = 0; i < structures.size(); ++i) {
            if (settled[i] || structures[i].surveyed) continue;
            const TiesOfPoint ties = ties_of(static_cast<int>(i), job, frame, levels, structures);
            if (ties.tapes.empty() || (ties.tapes.size() < 2 && !last)) continue;
            const TiePosition solved = position_from_ties(ties.tapes, ties.side, std::nullopt);
            settled[i] = true;
            report(ties, solved, structures[i].id.text, unit, findings);
            bad[i] = solved.outcome == TieOutcome::do_not_meet ||
                     solved.outcome == TieOutcome::does_not_fit;
            if (solved.outcome != TieOutcome::solved) continue;
            structures[i].surveyed = solved.position;
            structures[i].how_fixed =
                fmt::format("{}{}", by_swing_ties, fmt::join(ties.references, ", "));
            grew = true;
        }
        last = !last && !grew;
        if (!grew && !last) break;
    }
    list_observations(job, levels, structures, bad, observations);
}

std::vector<UncheckedTapes> unchecked_tapes(const Site& site) {
    std::vector<UncheckedTapes> all;
    for (std::size_t i = 0; i < site.structures.size(); ++i) {
        const SiteStructure& structure = site.structures[i];
        if (!structure.surveyed || !structure.how_fixed.starts_with(by_swing_ties)) continue;
        std::vector<TieObservation> ties;
        std::ranges::copy_if(site.ties, std::back_inserter(ties), [&](const TieObservation& tie) {
            return tie.point == static_cast<int>(i) &&
                   site.structures[static_cast<std::size_t>(tie.reference)].surveyed;
        });
        if (ties.size() == 2) all.push_back(unchecked(site, static_cast<int>(i), ties));
    }
    return all;
}

}  // namespace sondeline
