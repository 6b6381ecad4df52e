#include "appraisal/exchanged_levels.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace sondeline {

namespace {

// Steeper than 1 in 8 no drain of a house is laid between two structures (common practice, no
// source).
constexpr double steepest = 0.125;
// More pairs than these that would do tell nothing.
constexpr std::size_t most_named = 3;

// A structure whose ground rests on one foresight of one setup.
struct ReadOnce {
    int structure = -1;
    std::string setup;
    double ground_m = 0.0;
};

std::vector<ReadOnce> read_once(const Job& job, const Site& site) {
    std::vector<ReadOnce> all;
    for (std::size_t i = 0; i < site.structures.size(); ++i) {
        const SiteStructure& structure = site.structures[i];
        if (structure.ground_source != "levelled" || !structure.ground_m) continue;
        const auto reads = [&](const LevelReading& row) { return row.point == structure.id.text; };
        if (std::ranges::count_if(job.levels, reads) != 1) continue;
        const auto row = std::ranges::find_if(job.levels, reads);
        if (!row->foresight_m || row->backsight_m || row->elevation_m) continue;
        all.push_back({static_cast<int>(i), row->setup, structure.ground_m->value});
    }
    return all;
}

bool has_to_fall(const SiteRun& run) {
    return run.kind_doubt.empty() &&
           (run.kind == RunKind::building_sewer || run.kind == RunKind::effluent_line);
}

bool surely_falls_back(const Estimate& fall_m) {
    return fall_m.value + normal_95 * fall_m.sd < 0.0;
}

bool is_levelled_along(const AlignedRun& run) {
    return std::ranges::any_of(run.vertical, [](const StationedVertical& seen) {
        return seen.row.fix >= 0 && seen.row.ground_m.has_value();
    });
}

class Exchange {
  public:
    Exchange(const ReadOnce& one, const ReadOnce& other) : one_(one), other_(other) {}

    // By how much a run would fall, in the direction of its water.
    Estimate fall_m(const SiteRun& run, const GradedRun& graded) const {
        const double sign = graded.flow_with_push ? 1.0 : -1.0;
        Estimate fall = *graded.fall_m;
        fall.value += sign * (change_m(run.from) - change_m(run.to));
        return fall;
    }
    bool touches(const SiteRun& run) const {
        return change_m(run.from) != 0.0 || change_m(run.to) != 0.0;
    }

  private:
    double change_m(const std::optional<int>& structure) const {
        if (structure == one_.structure) return other_.ground_m - one_.ground_m;
        if (structure == other_.structure) return one_.ground_m - other_.ground_m;
        return 0.0;
    }

    ReadOnce one_;
    ReadOnce other_;
};

// No run that the exchange touches is turned around or made too steep by it, and none has levels
// of its own that speak for the readings as they are.
bool all_drain(const Exchange& exchange, const Lines& lines, const Profiles& profiles) {
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        const AlignedRun& run = lines.runs[i];
        const GradedRun& graded = profiles.runs[i];
        if (!exchange.touches(run.run)) continue;
        if (is_levelled_along(run)) return false;
        if (!graded.fall_m || !run.length_m) continue;
        const Estimate fall = exchange.fall_m(run.run, graded);
        if (has_to_fall(run.run) ? fall.value <= 0.0 : surely_falls_back(fall)) return false;
        if (fall.value > steepest * run.length_m->value) return false;
    }
    return true;
}

}  // namespace

void tell_exchanged_levels(const Job& job, const Site& site, const Lines& lines,
                           const Profiles& profiles, Findings& findings) {
    const std::vector<ReadOnce> points = read_once(job, site);
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const AlignedRun& run = lines.runs[r];
        const GradedRun& graded = profiles.runs[r];
        if (!has_to_fall(run.run) || !graded.fall_m || !surely_falls_back(*graded.fall_m)) continue;
        std::vector<std::string> pairs;
        for (std::size_t a = 0; a < points.size(); ++a) {
            for (std::size_t b = a + 1; b < points.size(); ++b) {
                const Exchange exchange(points[a], points[b]);
                if (points[a].setup != points[b].setup || !exchange.touches(run.run) ||
                    !all_drain(exchange, lines, profiles)) {
                    continue;
                }
                const auto id = [&](const ReadOnce& point) {
                    return site.structures[static_cast<std::size_t>(point.structure)].id.text;
                };
                pairs.push_back(fmt::format("{} and {}", id(points[a]), id(points[b])));
            }
        }
        if (pairs.empty() || pairs.size() > most_named) continue;
        Where where;
        where.file = "levels";
        where.run = run.run.id.text;
        findings.push_back(
            {Severity::caution, where,
             fmt::format(
                 "By the levels this run falls the wrong way. It would fall as drains do if "
                 "the rod readings on {} were written down for each other; each was read "
                 "once, so that no loop checks them.",
                 fmt::join(pairs, ", or those on ")),
             "Compare these readings with the field book, or read them once more and close on the "
             "benchmark."});
    }
}

}  // namespace sondeline
