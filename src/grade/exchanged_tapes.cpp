#include "grade/exchanged_tapes.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "grade/phrases.hpp"
#include "grade/tape_evidence.hpp"

namespace sondeline::grade {

namespace {

constexpr double kLogFactor = 2.0;
constexpr double kSlip_m = 0.3;
constexpr double kSmallest_m = 0.02;
// From inlet to outlet (common practice, no source).
constexpr double kLongestTank_m = 5.0;
// What is more than both tapes may be off by together.
constexpr double kSurely = 1.96;

// One taped end.
struct Tape {
    std::size_t run = 0;
    std::size_t row = 0;
};

std::optional<Tape> tape_of(const std::vector<RunRows>& runs, std::size_t run, VerticalKind kind) {
    const auto& rows = runs[run].rows;
    const auto found = std::ranges::find(rows, kind, &Row::kind);
    if (found == rows.end() || runs[run].ground.known.empty()) return std::nullopt;
    return Tape{run, static_cast<std::size_t>(found - rows.begin())};
}

// Two tapes, and which of the two should be the higher.
struct Tapes {
    Tape first;
    Tape second;
    std::optional<bool> first_higher;  // empty: not known
    bool from_one_rim = false;         // both are depths below it
};

const Row& row_of(const std::vector<RunRows>& runs, const Tape& tape) {
    return runs[tape.run].rows[tape.row];
}

// By which the second was taped deeper.
double deeper_m(const std::vector<RunRows>& runs, const Tapes& tapes) {
    return row_of(runs, tapes.second).depth_m - row_of(runs, tapes.first).depth_m;
}

// How much higher the first lies.
Estimate higher_by(const std::vector<RunRows>& runs, const Tapes& tapes) {
    const Row& first = row_of(runs, tapes.first);
    const Row& second = row_of(runs, tapes.second);
    return {tapes.from_one_rim ? deeper_m(runs, tapes) : first.y_m - second.y_m,
            std::hypot(first.sd_m, second.sd_m)};
}

// The same once exchanged: each moves by the difference.
double higher_exchanged_m(const std::vector<RunRows>& runs, const Tapes& tapes) {
    return higher_by(runs, tapes).value - 2.0 * deeper_m(runs, tapes);
}

bool cures_a_wrong_fall(const std::vector<RunRows>& runs, const Tapes& tapes) {
    if (!tapes.first_higher) return false;
    const double sign = *tapes.first_higher ? 1.0 : -1.0;
    const Estimate higher = higher_by(runs, tapes);
    return sign * higher.value < -kSurely * higher.sd &&
           sign * higher_exchanged_m(runs, tapes) > 0.0;
}

// ln of the Bayes factor of the exchange.
double log_factor(const std::vector<RunRows>& runs, const Tapes& tapes) {
    const double by_m = deeper_m(runs, tapes);
    double sum = 0.0;
    const auto add = [&](std::size_t index, auto change) {
        const RunRows& run = runs[index];
        std::vector<Row> exchanged = run.rows;
        change(exchanged);
        const BesideTapes beside = beside_tapes(run);
        if (std::ranges::none_of(beside.rows, says_height)) return;
        sum += log_evidence_with_tapes(run, beside, exchanged) -
               log_evidence_with_tapes(run, beside, run.rows);
    };
    const auto lower_first = [&](std::vector<Row>& rows) { rows[tapes.first.row].y_m -= by_m; };
    const auto raise_second = [&](std::vector<Row>& rows) { rows[tapes.second.row].y_m += by_m; };
    if (tapes.first.run != tapes.second.run) {
        add(tapes.first.run, lower_first);
        add(tapes.second.run, raise_second);
    } else {
        add(tapes.first.run, [&](std::vector<Row>& rows) {
            lower_first(rows);
            raise_second(rows);
        });
    }
    return sum;
}

// The same of one tape that is wrong by anything up to a foot or so.
double log_factor_of_slip(const std::vector<RunRows>& runs, const Tape& tape) {
    const RunRows& run = runs[tape.run];
    std::vector<Row> doubted = run.rows;
    doubted[tape.row].sd_m = std::hypot(doubted[tape.row].sd_m, kSlip_m);
    const BesideTapes beside = beside_tapes(run);
    return log_evidence_with_tapes(run, beside, doubted) -
           log_evidence_with_tapes(run, beside, run.rows);
}

struct Suspicion {
    Tapes tapes;
    double log_factor = 0.0;
    bool cures = false;
};

std::optional<Suspicion> suspicion_of(const std::vector<RunRows>& runs, const Tapes& tapes) {
    if (std::abs(deeper_m(runs, tapes)) < kSmallest_m) return std::nullopt;
    Suspicion suspicion{tapes, 0.0, cures_a_wrong_fall(runs, tapes)};
    // What is a drop and what an exchange no depth tells of two runs, unless it is wrong.
    if (tapes.first.run != tapes.second.run && !suspicion.cures) return std::nullopt;
    suspicion.log_factor = log_factor(runs, tapes);
    if (suspicion.log_factor <= (suspicion.cures ? -kLogFactor : kLogFactor)) return std::nullopt;
    const double of_slip =
        std::max(log_factor_of_slip(runs, tapes.first), log_factor_of_slip(runs, tapes.second));
    const double slack = suspicion.cures ? kLogFactor : 0.0;
    return suspicion.log_factor > of_slip - slack ? std::optional(suspicion) : std::nullopt;
}

std::string why_words(const Suspicion& suspicion, const char* wrong) {
    const bool depths = suspicion.log_factor > kLogFactor;
    if (!suspicion.cures) return "The depths along it fit the exchanged ones clearly better.";
    return fmt::format("{}{}.", wrong,
                       depths ? ", and the depths fit the exchanged ones clearly better" : "");
}

const char* const kLookUp =
    "Look up in the field book which depth was taped at which end, or tape both again, each from "
    "the ground that was levelled.";

Finding of_one_run(const Lines& lines, const std::vector<RunRows>& runs,
                   const Suspicion& suspicion) {
    const Tapes& tapes = suspicion.tapes;
    const double length_m = runs[tapes.first.run].length_m;
    const double sign = tapes.first_higher.value_or(true) ? 1.0 : -1.0;
    return run_finding(
        lines.runs[tapes.first.run].run.id, Severity::caution,
        fmt::format(
            "The inverts taped at the two ends of this run look exchanged. By the two alone it "
            "falls {} as written and {} exchanged. {} Neither was relied on: the bounds of every "
            "figure hold both.",
            slope_words(sign * higher_by(runs, tapes).value / length_m),
            slope_words(sign * higher_exchanged_m(runs, tapes) / length_m),
            why_words(suspicion, "As written that is the wrong way")),
        kLookUp);
}

Finding of_two_runs(const Lines& lines, const std::vector<RunRows>& runs,
                    const Suspicion& suspicion) {
    const Tapes& tapes = suspicion.tapes;
    const SiteRun& in = lines.runs[tapes.first.run].run;
    const std::string& out = lines.runs[tapes.second.run].run.id.text;
    const LengthUnit unit = runs[tapes.first.run].unit;
    Finding finding = run_finding(
        in.id, Severity::caution,
        fmt::format(
            "The inverts taped where this run comes in and where {} leaves look exchanged. "
            "{} Exchanged, {} leaves {} lower. Neither was relied on: the bounds of every "
            "figure of both runs hold both.",
            out,
            why_words(suspicion, fmt::format("As written {} leaves {} higher", out,
                                             height_words(-higher_by(runs, tapes).value, unit))
                                     .c_str()),
            out, height_words(higher_exchanged_m(runs, tapes), unit)),
        kLookUp);
    return finding;
}

// Half way to the other reading, and as unsure as that.
void doubt(RunRows& run, std::size_t row, double half_m) {
    Row& tape = run.rows[row];
    tape.y_m += half_m;
    tape.below_ground_m -= half_m;
    tape.sd_m = std::hypot(tape.sd_m, half_m);
    run.tapes_look_exchanged = true;
}

std::vector<Tapes> pairs_of_runs(const Lines& lines, const std::vector<Flow>& flows,
                                 const std::vector<RunRows>& runs) {
    std::vector<Tapes> pairs;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        const auto start = tape_of(runs, r, VerticalKind::taped_start);
        const auto end = tape_of(runs, r, VerticalKind::taped_end);
        if (!start || !end) continue;
        pairs.push_back({*start, *end,
                         flows[r].known ? std::optional(flows[r].with_push) : std::nullopt, false});
    }
    return pairs;
}

// Taped ends at a structure that bring water, and those that take it away.
struct Ports {
    std::vector<Tape> in;
    std::vector<Tape> out;
};

Ports ports_of(int structure, const Lines& lines, const std::vector<Flow>& flows,
               const std::vector<RunRows>& runs) {
    Ports ports;
    for (std::size_t r = 0; r < lines.runs.size(); ++r) {
        if (!flows[r].known) continue;
        const SiteRun& run = lines.runs[r].run;
        const auto add = [&](VerticalKind kind, bool takes_away) {
            if (const auto tape = tape_of(runs, r, kind)) {
                (takes_away ? ports.out : ports.in).push_back(*tape);
            }
        };
        if (run.from == structure) add(VerticalKind::taped_start, flows[r].with_push);
        if (run.to == structure) add(VerticalKind::taped_end, !flows[r].with_push);
    }
    return ports;
}

// Two points of one tank: its inlet and its outlet.
bool one_tank(const AlignedStructure& a, const AlignedStructure& b) {
    return a.kind == StructureKind::tank && b.kind == StructureKind::tank && a.plan && b.plan &&
           std::hypot(a.plan->at.e_m - b.plan->at.e_m, a.plan->at.n_m - b.plan->at.n_m) <=
               kLongestTank_m;
}

// Each pipe that brings water to a structure with each that takes it away.
std::vector<Tapes> pairs_at_structures(const Lines& lines, const std::vector<Flow>& flows,
                                       const std::vector<RunRows>& runs) {
    std::vector<Ports> ports;
    for (std::size_t s = 0; s < lines.structures.size(); ++s) {
        ports.push_back(ports_of(static_cast<int>(s), lines, flows, runs));
    }
    std::vector<Tapes> pairs;
    const auto join = [&](const Ports& from, const Ports& to, bool one_rim) {
        for (const Tape& in : from.in) {
            for (const Tape& out : to.out) pairs.push_back({in, out, true, one_rim});
        }
    };
    for (std::size_t a = 0; a < ports.size(); ++a) {
        join(ports[a], ports[a], true);
        for (std::size_t b = 0; b < ports.size(); ++b) {
            const bool inlet_only = ports[a].out.empty() && ports[b].in.empty();
            if (a != b && inlet_only && one_tank(lines.structures[a], lines.structures[b])) {
                join(ports[a], ports[b], false);
            }
        }
    }
    return pairs;
}

}  // namespace

void doubt_exchanged_tapes(const Lines& lines, const std::vector<Flow>& flows,
                           std::vector<RunRows>& runs) {
    std::vector<Tapes> pairs = pairs_of_runs(lines, flows, runs);
    std::ranges::copy(pairs_at_structures(lines, flows, runs), std::back_inserter(pairs));
    std::vector<Suspicion> suspicions;
    for (const Tapes& tapes : pairs) {
        if (auto suspicion = suspicion_of(runs, tapes)) suspicions.push_back(*suspicion);
    }
    // The likeliest first: a tape that was exchanged once was not exchanged twice.
    std::ranges::stable_sort(suspicions, std::greater{}, &Suspicion::log_factor);
    for (const Suspicion& suspicion : suspicions) {
        const Tapes& tapes = suspicion.tapes;
        RunRows& first = runs[tapes.first.run];
        RunRows& second = runs[tapes.second.run];
        if (first.tapes_look_exchanged || second.tapes_look_exchanged) continue;
        first.findings.push_back(&first != &second ? of_two_runs(lines, runs, suspicion)
                                                   : of_one_run(lines, runs, suspicion));
        const double half_m = 0.5 * deeper_m(runs, tapes);
        doubt(first, tapes.first.row, -half_m);
        doubt(second, tapes.second.row, half_m);
    }
}

}  // namespace sondeline::grade
