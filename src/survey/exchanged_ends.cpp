#include "survey/exchanged_ends.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace sondeline {

namespace {

// How much further than the counter says a place may lie: of the reel, and of positions, of the
// middle of a structure and of the transmitter (common practice, no source).
constexpr double reel_share = 1.05;
constexpr double slack_m = 1.0;
constexpr std::size_t fewest_fixes = 3;

const PlanFix* surveyed(const std::vector<SiteStructure>& structures,
                        const std::optional<StructureId>& id) {
    if (!id) return nullptr;
    const auto found = std::ranges::find(structures, *id, &SiteStructure::id);
    return found == structures.end() || !found->surveyed ? nullptr : &*found->surveyed;
}

double distance_m(const PlanPoint& a, const PlanPoint& b) {
    return std::hypot(a.e_m - b.e_m, a.n_m - b.n_m);
}

struct Ends {
    PlanPoint start;
    PlanPoint end;
    double length_m = 0.0;
};

bool within_reach(const SiteFix& fix, const Ends& ends) {
    const PlanPoint& at = fix.position->at;
    return distance_m(at, ends.start) <= reel_share * fix.x_m + slack_m &&
           distance_m(at, ends.end) <= reel_share * (ends.length_m - fix.x_m) + slack_m;
}

std::size_t out_of_reach(const std::vector<SiteFix*>& fixes, const Ends& ends) {
    return static_cast<std::size_t>(std::ranges::count_if(
        fixes, [&](const SiteFix* fix) { return !within_reach(*fix, ends); }));
}

bool exchanged(const std::vector<SiteFix*>& fixes, const Ends& ends) {
    if (fixes.size() < fewest_fixes) return false;
    return 2 * out_of_reach(fixes, ends) >= fixes.size() &&
           out_of_reach(fixes, {ends.end, ends.start, ends.length_m}) == 0;
}

}  // namespace

std::vector<int> leave_out_exchanged_ends(const Job& job, const std::vector<ReelReading>& reels,
                                          const std::vector<SiteStructure>& structures,
                                          std::vector<SiteFix>& fixes, Findings& findings) {
    std::vector<int> runs;
    for (std::size_t r = 0; r < job.runs.size(); ++r) {
        const Run& run = job.runs[r];
        const PlanFix* from = surveyed(structures, run.from);
        const PlanFix* to = surveyed(structures, run.to);
        if (from == nullptr || to == nullptr || !reels[r].length_m) continue;
        std::vector<SiteFix*> placed;
        for (SiteFix& fix : fixes) {
            const bool here = fix.run == static_cast<int>(r) && fix.position &&
                              fix.placing != FixPlacing::unplaced;
            if (here) placed.push_back(&fix);
        }
        if (!exchanged(placed, {from->at, to->at, *reels[r].length_m})) continue;
        for (SiteFix* fix : placed) {
            fix->placing = FixPlacing::unplaced;
            fix->why_unplaced = "from and to of its run look exchanged";
        }
        runs.push_back(static_cast<int>(r));
        Where where = where_is(run.source);
        where.column = "from, to";
        where.run = run.id.text;
        findings.push_back(
            {Severity::problem, where,
             fmt::format("From and to of run {} look exchanged: its {} fixes fit a push from {} to "
                         "{}, not one from {} to {}. Neither they nor its taped inverts were used.",
                         run.id.text, placed.size(), run.to->text, run.from->text, run.from->text,
                         run.to->text),
             fmt::format("Write {} under from and {} under to, with the invert depths that belong "
                         "to each, and run the folder again.",
                         run.to->text, run.from->text),
             Consequence::input_rejected});
    }
    return runs;
}

}  // namespace sondeline
