#include "grade/settle_flows.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "grade/analysis.hpp"
#include "grade/even_fall.hpp"
#include "grade/phrases.hpp"

namespace sondeline::grade {

namespace {

struct Falls {
    const Lines& lines;
    const std::vector<Flow>& flows;
    std::vector<std::optional<Estimate>> with_push_m;  // by run
};

std::optional<Estimate> fall_of(const RunRows& run) {
    if (!is_height(run.z_reference) || run.length_m <= 0.0) return std::nullopt;
    const Screening screening = screen_rows(run);
    if (!screening.tapes_at_odds.empty()) return std::nullopt;
    return even_fall_m(run, {screening.used, screening.scatter});
}

bool is_sure(const Estimate& fall_m) {
    return std::abs(fall_m.value) > normal_95 * fall_m.sd;
}

// Whether a run's water runs with the push; empty where that is not sure.
std::optional<bool> runs_with_push(std::size_t r, const Falls& falls) {
    if (falls.flows[r].known) return falls.flows[r].with_push;
    const auto& fall_m = falls.with_push_m[r];
    if (!fall_m || !is_sure(*fall_m)) return std::nullopt;
    return fall_m->value > 0.0;
}

// Another run that surely brings water to a structure, or takes it away.
std::optional<std::size_t> other_run(std::size_t run, const std::optional<int>& structure,
                                     bool brings, const Falls& falls) {
    for (std::size_t r = 0; r < falls.lines.runs.size(); ++r) {
        if (r == run) continue;
        const auto with_push = runs_with_push(r, falls);
        if (!with_push) continue;
        const SiteRun& other = falls.lines.runs[r].run;
        const std::optional<int>& water_end = *with_push == brings ? other.to : other.from;
        if (water_end == structure) return r;
    }
    return std::nullopt;
}

// Of a run that falls against its push.
bool is_borne_out(std::size_t r, const Falls& falls) {
    const SiteRun& run = falls.lines.runs[r].run;
    return other_run(r, run.from, false, falls) ||
           (other_run(r, run.to, true, falls) && !other_run(r, run.to, false, falls));
}

Finding finding_of(std::size_t r, const Falls& falls, LengthUnit unit) {
    const SiteRun& run = falls.lines.runs[r].run;
    const auto id = [&](const std::optional<int>& structure) {
        return falls.lines.structures[static_cast<std::size_t>(*structure)].id.text;
    };
    const std::string from = id(run.from);
    const std::string to = id(run.to);
    const Estimate& fall_m = *falls.with_push_m[r];
    const auto fed_by = other_run(r, run.from, true, falls);
    const std::string no_outlet =
        fed_by ? fmt::format(" {} brings its water to {} as well, and no run takes it away there.",
                             falls.lines.runs[*fed_by].run.id.text, from)
               : "";
    return run_finding(
        run.id, fed_by ? Severity::problem : Severity::caution,
        fmt::format("From {} to {}, as its ends are named, this run climbs by {}, give or take "
                    "{}.{} Either the water runs from {} to {} and it falls as it should, or it "
                    "falls back and holds water. Its slope is given from {} to {}, without a "
                    "verdict.",
                    from, to, height_words(-fall_m.value, unit),
                    height_words(normal_95 * fall_m.sd, unit), no_outlet, to, from, from, to),
        "See which way the water runs, and check the depths, tapes and levels of its ends. If it "
        "runs from " +
            from + " to " + to + ", show it to a licensed installer.");
}

}  // namespace

void settle_flows(const Lines& lines, std::vector<RunRows>& rows, std::vector<Flow>& flows) {
    if (std::ranges::all_of(flows, &Flow::known)) return;
    const std::vector<Flow> by_kinds = flows;
    Falls falls{lines, by_kinds, {}};
    for (std::size_t r = 0; r < rows.size(); ++r) {
        falls.with_push_m.push_back(flows[r].known ? std::nullopt : fall_of(rows[r]));
    }
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const auto& fall_m = falls.with_push_m[r];
        if (!fall_m || fall_m->value >= 0.0) continue;
        const SiteRun& run = lines.runs[r].run;
        Flow& flow = flows[r];
        flow.in_question = !flow.level && run.from && run.to && run.from != run.to &&
                           rows[r].z_reference != ZReference::assumed_level_ground &&
                           !is_borne_out(r, falls);
        flow.with_push = flow.in_question;
        if (flow.in_question && is_sure(*fall_m)) {
            rows[r].findings.push_back(finding_of(r, falls, rows[r].unit));
        }
    }
}

}  // namespace sondeline::grade
