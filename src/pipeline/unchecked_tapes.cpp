#include "pipeline/unchecked_tapes.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "survey/ties.hpp"

namespace sondeline {

namespace {

// In squares of standard deviations: how much better a slip has to explain what the runs say than
// sound tapes do, and how badly it may fit at that (1 % by chance, χ² of two dimensions). One place
// in 30 or so has a tape that is a whole unit off (common practice, no source), any of the four
// slips one in 120; e^(6/2) = 20 makes that 1 in 7, more than bounds of 95 % may leave out.
constexpr double explains_better = 6.0;
constexpr double fits_within = 9.21;
// A slip that moves the place by 4 standard deviations shows 9 times in 10.
constexpr double would_show = 16.0;

double square_in_sds(PlanPoint a, PlanPoint b, const PlanCovariance& cov) {
    const double e = a.e_m - b.e_m;
    const double n = a.n_m - b.n_m;
    const double determinant = cov.ee * cov.nn - cov.en * cov.en;
    return (cov.nn * e * e - 2.0 * cov.en * e * n + cov.ee * n * n) / determinant;
}

PlanCovariance sum(const PlanCovariance& a, const PlanCovariance& b) {
    return {a.ee + b.ee, a.en + b.en, a.nn + b.nn};
}

bool any_run_meets(const Site& site, int structure) {
    return std::ranges::any_of(site.runs, [&](const SiteRun& run) {
        return run.from == structure || run.to == structure;
    });
}

// Where the runs that meet a structure put it; empty when they do not say. What rests on two tapes
// of which one begins at that structure says nothing of it.
std::optional<PlanFix> by_runs_alone(const Site& site, int structure,
                                     const std::vector<UncheckedTapes>& all) {
    if (!any_run_meets(site, structure)) return std::nullopt;
    Site rest = site;
    rest.structures[static_cast<std::size_t>(structure)].surveyed.reset();
    for (const UncheckedTapes& other : all) {
        const bool rests_on_it = std::ranges::any_of(site.ties, [&](const TieObservation& tie) {
            return tie.point == other.structure && tie.reference == structure;
        });
        if (rests_on_it)
            rest.structures[static_cast<std::size_t>(other.structure)].surveyed.reset();
    }
    std::erase_if(rest.ties, [&](const TieObservation& tie) {
        return tie.point == structure || tie.reference == structure;
    });
    return align_site(rest).structures[static_cast<std::size_t>(structure)].plan;
}

struct Verdict {
    bool would_show = false;            // a slip in either tape
    const TapeSlip* slipped = nullptr;  // that the runs speak for
};

Verdict verdict_on(const PlanFix& taped, const std::vector<TapeSlip>& slips,
                   const PlanFix& by_runs) {
    const PlanCovariance cov = sum(taped.cov, by_runs.cov);
    Verdict verdict;
    verdict.would_show = !slips.empty() && std::ranges::all_of(slips, [&](const TapeSlip& slip) {
        return square_in_sds(slip.at, taped.at, cov) >= would_show;
    });
    const auto off = [&](const TapeSlip& slip) { return square_in_sds(slip.at, by_runs.at, cov); };
    const auto best = std::ranges::min_element(slips, {}, off);
    if (best == slips.end() || off(*best) > fits_within) return verdict;
    const double as_taped = square_in_sds(taped.at, by_runs.at, cov);
    if (as_taped - off(*best) >= explains_better) verdict.slipped = &*best;
    return verdict;
}

// One standard deviation that makes 95 % of a plan position reach from one place to the other.
void reach(PlanFix& from, PlanPoint to) {
    const double e = (to.e_m - from.at.e_m) / ellipse_95;
    const double n = (to.n_m - from.at.n_m) / ellipse_95;
    from.cov = sum(from.cov, {e * e, e * n, n * n});
}

Finding slip_finding(const Site& site, const SiteStructure& structure, const TapeSlip& slip,
                     const PlanFix& by_runs) {
    Where where;
    where.file = "ties";
    where.structure = structure.id.text;
    const LengthUnit unit = site.job_unit;
    const PlanPoint& at = structure.surveyed->at;
    return {Severity::caution, where,
            fmt::format(
                "The two tapes of {} put it {} from where the pipes that meet there do. A slip of "
                "a whole {} in one tape would explain it: {} from {}, where {} was taped. Its "
                "bounds reach both places.",
                structure.id.text,
                length_words(std::hypot(by_runs.at.e_m - at.e_m, by_runs.at.n_m - at.n_m), unit, 1),
                unit == LengthUnit::metre ? "metre" : "foot", length_words(slip.meant_m, unit, 1),
                site.structures[static_cast<std::size_t>(slip.reference)].id.text,
                length_words(slip.taped_m, unit, 1)),
            "Tape it again from both marks, and from a third one."};
}

struct Unchecked {
    std::vector<std::string> places;
    double moves_by_most = 0.0;
};

void tell_unchecked(const Unchecked& unchecked, LengthUnit unit, Findings& findings) {
    if (unchecked.places.empty()) return;
    const bool one = unchecked.places.size() == 1;
    Where where;
    where.file = "ties";
    findings.push_back(
        {Severity::caution, where,
         fmt::format("{} {} held by two tapes{} that nothing checks: one that was misread by {} "
                     "moves the place by up to {}, and no bound holds that. The pipes that meet "
                     "there would not show it for sure.",
                     fmt::join(unchecked.places, ", "), one ? "is" : "are", one ? "" : " each",
                     length_words(metres_per(unit), unit, 0),
                     length_words(unchecked.moves_by_most * metres_per(unit), unit, 1)),
         one ? "Tape it from a third mark." : "Tape each from a third mark."});
}

}  // namespace

Site with_tapes_held_against_runs(Site site) {
    const Site as_taped = site;
    Unchecked unchecked;
    const std::vector<UncheckedTapes> all = unchecked_tapes(as_taped);
    for (const UncheckedTapes& tapes : all) {
        const auto i = static_cast<std::size_t>(tapes.structure);
        const SiteStructure& structure = as_taped.structures[i];
        const auto by_runs = by_runs_alone(as_taped, tapes.structure, all);
        const Verdict verdict =
            by_runs ? verdict_on(*structure.surveyed, tapes.slips, *by_runs) : Verdict{};
        if (verdict.slipped != nullptr) {
            site.findings.push_back(slip_finding(as_taped, structure, *verdict.slipped, *by_runs));
            reach(*site.structures[i].surveyed, verdict.slipped->at);
        } else if (!verdict.would_show) {
            unchecked.places.push_back(structure.id.text);
            unchecked.moves_by_most = std::max(unchecked.moves_by_most, tapes.moves_by);
        }
    }
    tell_unchecked(unchecked, site.job_unit, site.findings);
    return site;
}

}  // namespace sondeline
