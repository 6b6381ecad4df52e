#include "footage/candidate_list.hpp"

#include <algorithm>

#include "footage/inches.hpp"
#include "footage/layout_doubt.hpp"
#include "footage/seen_point.hpp"

namespace sondeline {

namespace {

constexpr double kAsWell = 1.0;  // nats a crop

}  // namespace

void sort_by_rank(std::vector<Candidate>& candidates) {
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.rank > b.rank; });
}

void add_new(std::vector<NumberGrid>& grids, const std::vector<NumberGrid>& more) {
    for (const NumberGrid& grid : more) {
        const bool known = std::ranges::any_of(
            grids, [&](const NumberGrid& other) { return same_values(grid, other); });
        if (!known) grids.push_back(grid);
    }
}

void leave_out_still(std::vector<Candidate>& candidates) {
    constexpr double kOfBest = 0.5;
    sort_by_rank(candidates);
    const double least = kOfBest * candidates.front().rank;
    const bool some_changes = std::ranges::any_of(
        candidates, [&](const Candidate& c) { return c.rank >= least && changes(c.path); });
    if (!some_changes) return;
    std::erase_if(candidates, [](const Candidate& c) { return !changes(c.path); });
}

std::vector<NumberGrid> inches_aside(const std::vector<Candidate>& candidates) {
    std::vector<Padding> known;
    std::vector<NumberGrid> grids;
    for (const Candidate& candidate : candidates) {
        const NumberGrid& first = candidate.grid;
        if (!first.inches || std::ranges::count(known, first.padding) > 0) continue;
        known.push_back(first.padding);
        const std::vector<NumberGrid> aside = with_inches_aside(first);
        grids.insert(grids.end(), aside.begin(), aside.end());
    }
    return grids;
}

void keep_different(std::vector<Candidate>& candidates) {
    std::vector<Candidate> kept;
    for (Candidate& candidate : candidates) {
        const bool known = std::any_of(kept.begin(), kept.end(), [&](const Candidate& other) {
            return same_readings(candidate, other);
        });
        if (!known) kept.push_back(std::move(candidate));
    }
    candidates = std::move(kept);
}

void put_seen_point_first(std::vector<Candidate>& candidates) {
    const Candidate& best = candidates.front();
    if (!point_looks_unlike(best.grid)) return;
    const auto seen = std::ranges::find_if(candidates, [&](const Candidate& other) {
        return only_point_differs(best.grid, other.grid) && point_well_seen(other.grid) &&
               other.path.score > best.path.score - kAsWell && same_ticks(best, other);
    });
    if (seen == candidates.end()) return;
    seen->rank = best.rank;
    std::rotate(candidates.begin(), seen, seen + 1);
}

bool put_point_at_feet_first(std::vector<Candidate>& candidates,
                             std::span<const LineCrop* const> crops) {
    const Candidate& best = candidates.front();
    const auto seen = std::ranges::find_if(candidates, [&](const Candidate& other) {
        return only_point_differs(best.grid, other.grid) && other.grid.decimals > 0 &&
               !point_hardly_seen(other.grid) && other.path.score > best.path.score - kAsWell &&
               same_ticks(best, other) && digits_behind_point(other, crops) == other.grid.decimals;
    });
    if (seen == candidates.end()) return false;
    seen->rank = best.rank;
    std::rotate(candidates.begin(), seen, seen + 1);
    return true;
}

}  // namespace sondeline
