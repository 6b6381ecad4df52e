#include "grade/exchanged_heights.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <numbers>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "grade/even_fall.hpp"
#include "grade/ground_model.hpp"
#include "grade/phrases.hpp"
#include "grade/row_ground.hpp"
#include "grade/tape_evidence.hpp"

namespace sondeline::grade {

namespace {

constexpr double kLogFactorAlone = 4.5;  // without a run that rises
// Steps and kerbs are no mistakes of the level: the ground alone never makes a suspicion.
constexpr double kMostOfGround = 4.0;
constexpr double kLogFactorAgainst = -2.0;
constexpr double kNearlyAsWell = 2.0;
constexpr double kSlip_m = 0.3;
constexpr double kSmallest_m = 0.02;
constexpr std::size_t kMostNamed = 3;
// Steeper than 1 in 8 no drain of a house is laid between two structures (common practice, no
// source).
constexpr double kSteepest = 0.125;

// A structure read once, and its ground as written.
struct Height {
    int structure = -1;
    std::string setup;
    Estimate ground_m;
};

// One height instead of another.
struct Change {
    int structure = -1;
    Estimate ground_m;
};

// What the runs are, as written.
struct Written {
    const Lines& lines;
    const std::vector<Flow>& flows;
    const std::vector<RunRows>& runs;
    std::vector<BesideTapes> beside;
};

std::optional<Estimate> ground_of(int structure, const Lines& lines,
                                  const std::vector<RunRows>& runs) {
    for (std::size_t r = 0; r < runs.size(); ++r) {
        for (const Row& row : runs[r].rows) {
            if (row.ground_m && structure_of(row, lines.runs[r].run) == structure) {
                return row.ground_m;
            }
        }
    }
    return std::nullopt;
}

bool meets(const SiteRun& run, const std::vector<Change>& changes) {
    return std::ranges::any_of(changes, [&](const Change& change) {
        return run.from == change.structure || run.to == change.structure;
    });
}

RunRows changed(std::size_t r, const Written& written, const std::vector<Change>& changes) {
    RunRows run = written.runs[r];
    for (const Change& change : changes) {
        set_ground(change.structure, change.ground_m, written.lines.runs[r].run, run);
    }
    return run;
}

// The rows that were believed as written, as they are in `run`: its rows stand in the same order,
// and those that were believed are some of them.
BesideTapes same_rows(const BesideTapes& believed, const RunRows& as_written, const RunRows& run) {
    BesideTapes same{{}, believed.scatter};
    std::size_t next = 0;
    for (std::size_t i = 0; i < run.rows.size() && next < believed.rows.size(); ++i) {
        const Row& row = as_written.rows[i];
        const Row& wanted = believed.rows[next];
        if (row.kind != wanted.kind || row.station_m != wanted.station_m || row.fix != wanted.fix ||
            row.y_m != wanted.y_m) {
            continue;
        }
        same.rows.push_back(run.rows[i]);
        ++next;
    }
    return same;
}

double log_evidence(std::size_t r, const Written& written, const RunRows& run) {
    return log_evidence_with_tapes(run, same_rows(written.beside[r], written.runs[r], run),
                                   run.rows);
}

// ln of the Bayes factor of the changes, over all runs that they touch.
double log_factor(const Written& written, const std::vector<Change>& changes) {
    double sum = 0.0;
    for (std::size_t r = 0; r < written.runs.size(); ++r) {
        if (!meets(written.lines.runs[r].run, changes)) continue;
        if (std::ranges::none_of(written.beside[r].rows, says_height)) continue;
        sum += log_evidence(r, written, changed(r, written, changes)) -
               log_evidence(r, written, written.runs[r]);
    }
    return sum;
}

// The same of the heights of the ground alone.
double log_factor_of_ground(const Written& written, const std::vector<Change>& changes) {
    double sum = 0.0;
    for (std::size_t r = 0; r < written.runs.size(); ++r) {
        const RunRows& run = written.runs[r];
        if (!meets(written.lines.runs[r].run, changes) || run.ground.known.empty()) continue;
        sum += solve_ground(run.ground.known).half_squares -
               solve_ground(changed(r, written, changes).ground.known).half_squares;
    }
    return sum;
}

// What a run falls in the direction of its water, as written.
std::optional<Estimate> fall_with_water_m(const RunRows& run, const Flow& flow) {
    std::optional<Estimate> fall_m = even_fall_m(run, {run.rows, 1.0});
    if (fall_m && !flow.with_push) fall_m->value = -fall_m->value;
    return fall_m;
}

bool surely_rises(const Estimate& fall_m) {
    return fall_m.value + normal_95 * fall_m.sd < 0.0;
}

bool has_to_fall(const Flow& flow) {
    return flow.known && !flow.level && !flow.pumped;
}

// The first run that has to fall, rises as written, and is touched.
std::optional<std::size_t> rising_run(const Written& written, const std::vector<Change>& changes) {
    for (std::size_t r = 0; r < written.runs.size(); ++r) {
        if (!meets(written.lines.runs[r].run, changes) || !has_to_fall(written.flows[r])) {
            continue;
        }
        const auto fall_m = fall_with_water_m(written.runs[r], written.flows[r]);
        if (fall_m && surely_rises(*fall_m)) return r;
    }
    return std::nullopt;
}

bool all_drain(const Written& written, const std::vector<Change>& changes) {
    for (std::size_t r = 0; r < written.runs.size(); ++r) {
        if (!meets(written.lines.runs[r].run, changes)) continue;
        const RunRows run = changed(r, written, changes);
        const auto fall_m = fall_with_water_m(run, written.flows[r]);
        if (!fall_m) continue;
        const Flow& flow = written.flows[r];
        if (flow.known && !flow.pumped && surely_rises(*fall_m)) return false;
        if (fall_m->value > kSteepest * run.length_m) return false;
    }
    return true;
}

struct Suspicion {
    const Height* one = nullptr;
    const Height* other = nullptr;
    std::optional<std::size_t> cured_run;
    std::size_t first_run = 0;  // that it touches
    double log_factor = 0.0;
};

std::vector<Change> exchange(const Height& one, const Height& other) {
    return {{one.structure, other.ground_m}, {other.structure, one.ground_m}};
}

double log_factor_of_slip(const Written& written, const Height& height) {
    const Estimate doubted{height.ground_m.value, std::hypot(height.ground_m.sd, kSlip_m)};
    return log_factor(written, {{height.structure, doubted}});
}

std::optional<Suspicion> suspicion_of(const Written& written, const Height& one,
                                      const Height& other) {
    if (one.setup != other.setup) return std::nullopt;
    if (std::abs(one.ground_m.value - other.ground_m.value) < kSmallest_m) return std::nullopt;
    const std::vector<Change> changes = exchange(one, other);
    if (!all_drain(written, changes)) return std::nullopt;
    const double of_ground = log_factor_of_ground(written, changes);
    if (of_ground < kLogFactorAgainst) return std::nullopt;
    Suspicion found{&one, &other, rising_run(written, changes), 0, log_factor(written, changes)};
    const bool depths_agree =
        found.log_factor + std::min(of_ground, kMostOfGround) > kLogFactorAlone;
    if (!depths_agree && !(found.cured_run && found.log_factor > kLogFactorAgainst)) {
        return std::nullopt;
    }
    const double of_slip =
        std::max(log_factor_of_slip(written, one), log_factor_of_slip(written, other));
    const double slack = found.cured_run ? kNearlyAsWell : 0.0;
    if (found.log_factor < of_slip - slack) return std::nullopt;
    while (!meets(written.lines.runs[found.first_run].run, changes)) ++found.first_run;
    return found;
}

// The likeliest, and those that would do nearly as well; none where too many would.
std::vector<Suspicion> suspicions(const Written& written, const std::vector<Height>& heights) {
    std::vector<Suspicion> all;
    for (std::size_t a = 0; a < heights.size(); ++a) {
        for (std::size_t b = a + 1; b < heights.size(); ++b) {
            if (auto one = suspicion_of(written, heights[a], heights[b])) all.push_back(*one);
        }
    }
    std::ranges::stable_sort(all, std::greater{}, &Suspicion::log_factor);
    std::erase_if(all, [&, best = all.empty() ? 0.0 : all.front().log_factor](const auto& one) {
        return one.log_factor < best - kNearlyAsWell;
    });
    return all.size() <= kMostNamed ? all : std::vector<Suspicion>{};
}

// Halfway between the readings that each may have, and as unsure as that.
std::vector<Change> doubts(const std::vector<Suspicion>& found) {
    std::vector<Change> changes;
    const auto reach = [&](const Height& own, const Height& other) {
        const auto known = std::ranges::find(changes, own.structure, &Change::structure);
        const Estimate before = known == changes.end() ? own.ground_m : known->ground_m;
        const double spread_m = known == changes.end() ? 0.0 : before.sd;
        const double low_m = std::min(before.value - spread_m, other.ground_m.value);
        const double high_m = std::max(before.value + spread_m, other.ground_m.value);
        const Change change{own.structure, {0.5 * (low_m + high_m), 0.5 * (high_m - low_m)}};
        if (known == changes.end()) {
            changes.push_back(change);
        } else {
            *known = change;
        }
    };
    for (const Suspicion& one : found) {
        reach(*one.one, *one.other);
        reach(*one.other, *one.one);
    }
    return changes;
}

std::string why_words(const Suspicion& best, const Lines& lines) {
    const bool depths = best.log_factor > kLogFactorAlone;
    if (!best.cured_run) return "The depths along the pipes fit the exchanged ones clearly better.";
    return fmt::format("As written {} falls the wrong way{}.",
                       lines.runs[*best.cured_run].run.id.text,
                       depths ? ", and the depths fit the exchanged ones clearly better" : "");
}

Finding finding_of(const std::vector<Suspicion>& found, const Lines& lines) {
    std::vector<std::string> pairs;
    pairs.reserve(found.size());
    const auto id = [&](const Height& height) {
        return lines.structures[static_cast<std::size_t>(height.structure)].id.text;
    };
    for (const Suspicion& one : found) {
        pairs.push_back(fmt::format("{} and {}", id(*one.one), id(*one.other)));
    }
    const Suspicion& best = found.front();
    Finding finding = run_finding(
        lines.runs[best.cured_run.value_or(best.first_run)].run.id, Severity::caution,
        fmt::format("The rod readings on {} look written down for each other. {} Each was read "
                    "once, so that no loop checks them. They were not relied on: the bounds of "
                    "every figure hold both.",
                    fmt::join(pairs, ", or those on "), why_words(best, lines)),
        "Compare these readings with the field book, or read them once more and close on the "
        "benchmark.");
    finding.where.file = "levels";
    return finding;
}

std::vector<Height> heights_of(const std::vector<HeightReadOnce>& read_once, const Lines& lines,
                               const std::vector<RunRows>& runs) {
    std::vector<Height> heights;
    for (const HeightReadOnce& one : read_once) {
        if (const auto ground_m = ground_of(one.structure, lines, runs)) {
            heights.push_back({one.structure, one.setup, *ground_m});
        }
    }
    return heights;
}

}  // namespace

std::vector<int> doubt_exchanged_heights(const Lines& lines, const std::vector<Flow>& flows,
                                         const std::vector<HeightReadOnce>& read_once,
                                         std::vector<RunRows>& runs) {
    const std::vector<Height> heights = heights_of(read_once, lines, runs);
    if (heights.size() < 2) return {};
    Written written{lines, flows, runs, {}};
    std::ranges::transform(runs, std::back_inserter(written.beside), beside_tapes);
    const std::vector<Suspicion> found = suspicions(written, heights);
    if (found.empty()) return {};
    const std::vector<Change> changes = doubts(found);
    const std::size_t told_at = found.front().cured_run.value_or(found.front().first_run);
    runs[told_at].findings.push_back(finding_of(found, lines));
    std::vector<int> doubted;
    for (const Change& change : changes) {
        const Height& own = *std::ranges::find(heights, change.structure, &Height::structure);
        // The two are off together, one up and one down: so that a run between them is as unsure of
        // its fall as the whole difference, each counts √2 of its half.
        const Estimate ground_m{
            change.ground_m.value,
            std::hypot(std::numbers::sqrt2 * change.ground_m.sd, own.ground_m.sd)};
        for (std::size_t r = 0; r < runs.size(); ++r) {
            if (!meets(lines.runs[r].run, {change})) continue;
            set_ground(change.structure, ground_m, lines.runs[r].run, runs[r]);
            runs[r].heights_look_exchanged = true;
        }
        doubted.push_back(change.structure);
    }
    std::ranges::sort(doubted);
    return doubted;
}

}  // namespace sondeline::grade
