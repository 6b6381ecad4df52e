#include "survey/ties.hpp"

#include <algorithm>

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

struct TiesOfPoint {
    int point = -1;
    std::vector<TapedDistance> tapes;
    std::vector<std::string> references;
    TieSide side = TieSide::unknown;
    SourceCell source;
};

// The ties of one structure to marks whose position is known by now.
TiesOfPoint ties_of(int point, const Job& job, const SiteFrame& frame,
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
        ties.tapes.push_back(
            {mark->at, mark->cov, tie.distance_m * frame.frame.scale_factor, tape_sd_m(tie)});
        ties.references.push_back(tie.reference);
        if (tie.side != TieSide::unknown) ties.side = tie.side;
    }
    return ties;
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
                 fmt::format("The ties of {} contradict each other by more than their accuracy.",
                             id),
                 "Measure again; look for a wrong mark or unit. No position was taken from them.");
            return;
    }
}

void list_observations(const Job& job, const std::vector<SiteStructure>& structures,
                       const std::vector<bool>& bad, std::vector<TieObservation>& observations) {
    for (const Tie& tie : job.ties) {
        const int point = index_of(structures, tie.point);
        const int reference = index_of(structures, tie.reference);
        if (point < 0 || reference < 0 || bad[static_cast<std::size_t>(point)]) continue;
        observations.push_back({point,
                                reference,
                                {tie.distance_m, tape_sd_m(tie)},
                                fmt::format("tie {} from {}", tie.point, tie.reference)});
    }
}

}  // namespace

void apply_ties(const Job& job, const SiteFrame& frame, std::vector<SiteStructure>& structures,
                std::vector<TieObservation>& observations, Findings& findings) {
    std::vector<bool> bad(structures.size(), false);
    std::vector<bool> settled(structures.size(), false);
    const LengthUnit unit = job.settings.length_unit.value_or(LengthUnit::metre);
    // A structure placed by ties may itself be the mark of another, so go round until nothing new
    // comes; `last` reports what is left.
    for (bool last = false, again = true; again; again = !last) {
        bool grew = false;
        for (std::size_t i = 0; i < structures.size(); ++i) {
            if (settled[i] || structures[i].surveyed) continue;
            const TiesOfPoint ties = ties_of(static_cast<int>(i), job, frame, structures);
            if (ties.tapes.empty() || (ties.tapes.size() < 2 && !last)) continue;
            const TiePosition solved = position_from_ties(ties.tapes, ties.side, std::nullopt);
            settled[i] = true;
            report(ties, solved, structures[i].id.text, unit, findings);
            bad[i] = solved.outcome == TieOutcome::do_not_meet ||
                     solved.outcome == TieOutcome::does_not_fit;
            if (solved.outcome != TieOutcome::solved) continue;
            structures[i].surveyed = solved.position;
            structures[i].how_fixed =
                fmt::format("swing ties from {}", fmt::join(ties.references, ", "));
            grew = true;
        }
        last = !last && !grew;
        if (!grew && !last) break;
    }
    list_observations(job, structures, bad, observations);
}

}  // namespace sondeline
