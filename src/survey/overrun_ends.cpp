#include "survey/overrun_ends.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace sondeline {

namespace {

// A pipe may turn back on itself, but hardly goes twice the way (common practice, no source).
constexpr double most_round = 2.0;
constexpr double slack_m = 2.5;
constexpr double unsure_in_sds = 2.0;
// By the triangle inequality the fix before shows as much, if both lie where they should.
constexpr double most_less = 0.5;

// The last two fixes of a run that have a place on its counter and a position, the last one first.
std::vector<const SiteFix*> last_two(const std::vector<SiteFix>& fixes, int run) {
    std::vector<const SiteFix*> placed;
    for (const SiteFix& fix : fixes) {
        if (fix.run != run || !fix.position || fix.placing == FixPlacing::unplaced) continue;
        placed.push_back(&fix);
    }
    std::ranges::stable_sort(placed, std::ranges::greater{},
                             [](const SiteFix* fix) { return fix->x_m; });
    if (placed.size() > 2) placed.resize(2);
    return placed;
}

struct Rest {
    double by_counter_m = 0.0;
    double straight_m = 0.0;
    double straight_sd_m = 0.0;

    double excess_m() const { return by_counter_m - straight_m; }
    bool goes_past() const {
        return by_counter_m > most_round * (straight_m + unsure_in_sds * straight_sd_m) + slack_m;
    }
};

double larger_sd_m(const PlanCovariance& cov) {
    return std::sqrt(std::max(cov.ee, cov.nn));
}

Rest rest_from(const SiteFix& fix, const PlanFix& end, double length_m) {
    return {length_m - fix.x_m,
            std::hypot(end.at.e_m - fix.position->at.e_m, end.at.n_m - fix.position->at.n_m),
            std::hypot(larger_sd_m(fix.position->cov), larger_sd_m(end.cov))};
}

Finding finding_of(const SiteRun& run, const SiteFix& last, const std::string& end,
                   const Rest& rest, LengthUnit unit) {
    Where where;
    where.run = run.id.text;
    where.station_m = last.x_m;
    return {
        Severity::problem, where,
        fmt::format("From {} to the end of the footage the counter goes {}, but {} lies only {} "
                    "from {}. The head may have gone on past {}, or the footage is that of "
                    "another run. The length of this run is withheld.",
                    last.id, length_words(rest.by_counter_m, unit, 1), end,
                    length_words(rest.straight_m, unit, 1), last.id, end),
        fmt::format("See in the footage what the counter shows with the lens at {} and note it "
                    "as the end; look whether runs names the right clip.",
                    end)};
}

}  // namespace

void withhold_overrun_lengths(LengthUnit unit, const std::vector<SiteStructure>& structures,
                              const std::vector<SiteFix>& fixes, std::vector<SiteRun>& runs,
                              Findings& findings) {
    for (std::size_t r = 0; r < runs.size(); ++r) {
        SiteRun& run = runs[r];
        if (!run.to || run.stops_short || !run.counter_length_m) continue;
        const SiteStructure& end = structures[static_cast<std::size_t>(*run.to)];
        if (!end.surveyed) continue;
        const double length_m = *run.counter_length_m;
        const std::vector<const SiteFix*> last = last_two(fixes, static_cast<int>(r));
        if (last.size() < 2) continue;
        const Rest rest = rest_from(*last[0], *end.surveyed, length_m);
        const Rest before = rest_from(*last[1], *end.surveyed, length_m);
        if (!rest.goes_past() || before.excess_m() < most_less * rest.excess_m()) continue;
        Finding finding = finding_of(run, *last[0], end.id.text, rest, unit);
        run.counter_length_m = withheld<double>(
            fmt::format("The counter goes on too far for {}.", end.id.text), finding.what_to_do);
        std::erase_if(run.vertical, [](const VerticalObservation& row) {
            return row.kind == VerticalKind::taped_end;
        });
        findings.push_back(std::move(finding));
    }
}

}  // namespace sondeline
