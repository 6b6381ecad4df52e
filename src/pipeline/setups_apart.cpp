#include "pipeline/setups_apart.hpp"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

using Names = std::set<std::string>;

Names setups_of(const Job& job, const std::string& point) {
    Names setups;
    for (const LevelReading& row : job.levels) {
        if (row.point == point) setups.insert(row.setup);
    }
    return setups;
}

bool meet(const Names& a, const Names& b) {
    return std::ranges::any_of(a, [&](const std::string& name) { return b.contains(name); });
}

struct Apart {
    Names runs;
    Names setups;  // of their fixes
};

// The runs at the structure whose fixes were all read from other setups than it.
Apart runs_apart(const Job& job, const Site& site, int structure, const Names& its_setups) {
    Apart apart;
    for (std::size_t r = 0; r < site.runs.size(); ++r) {
        const SiteRun& run = site.runs[r];
        if (run.from != structure && run.to != structure) continue;
        Names setups;
        for (const SiteFix& fix : site.fixes) {
            if (fix.run == static_cast<int>(r)) setups.merge(setups_of(job, fix.id));
        }
        if (setups.empty() || meet(setups, its_setups)) continue;
        apart.runs.insert(run.id.text);
        apart.setups.merge(setups);
    }
    return apart;
}

Names points_that_join(const Job& job, const Names& some, const Names& others) {
    Names points;
    for (const LevelReading& row : job.levels) {
        const Names setups = setups_of(job, row.point);
        if (meet(setups, some) && meet(setups, others)) points.insert(row.point);
    }
    return points;
}

}  // namespace

Findings tell_setups_apart(const Job& job, const Site& site, const HeightsNotUsed& not_used) {
    Findings findings;
    for (const int structure : not_used.structures) {
        const std::string& id = site.structures[static_cast<std::size_t>(structure)].id.text;
        const Names its_setups = setups_of(job, id);
        const Apart apart = runs_apart(job, site, structure, its_setups);
        if (its_setups.empty() || apart.runs.empty()) continue;
        const Names joins = points_that_join(job, its_setups, apart.setups);
        Finding finding;
        finding.severity = Severity::caution;
        finding.where.file = "levels";
        finding.where.structure = id;
        finding.what = fmt::format(
            "{} was read from setup {}, the fixes along {} from setup {}. A misreading where the "
            "setups join{} would look just as if the height of {} were wrong, and would move every "
            "height of the later setup.",
            id, fmt::join(its_setups, ", "), fmt::join(apart.runs, ", "),
            fmt::join(apart.setups, ", "),
            joins.empty() ? "" : fmt::format(" ({})", fmt::join(joins, ", ")), id);
        finding.what_to_do =
            "Compare the readings where the setups join with the field book too, not only the one "
            "at the structure. A line of levels that is closed on its benchmark shows such a slip.";
        findings.push_back(std::move(finding));
    }
    return findings;
}

}  // namespace sondeline
