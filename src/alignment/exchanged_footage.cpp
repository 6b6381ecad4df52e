#include "alignment/exchanged_footage.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "alignment/phrases.hpp"
#include "survey/push_end.hpp"

namespace sondeline::alignment {
namespace {

constexpr double alike = 0.02;
constexpr double alike_m = 0.30;

// How long the run would have to be to reach its structure; empty where it does, or nobody knows.
std::optional<double> needed_m(const AlignedRun& run, const Lines& lines) {
    if (!run.stops_short || stopped_short(run.run.status) || !run.run.to || !run.length_m ||
        run.points.empty()) {
        return std::nullopt;
    }
    const auto& end = lines.structures[static_cast<std::size_t>(*run.run.to)].plan;
    if (!end) return std::nullopt;
    const PlanPoint& last = run.points.back().at;
    return run.length_m->value + std::hypot(end->at.e_m - last.e_m, end->at.n_m - last.n_m);
}

double last_fix_m(const Site& site, int run) {
    double last_m = 0.0;
    for (const SiteFix& fix : site.fixes) {
        if (fix.run == run && fix.placing != FixPlacing::unplaced) {
            last_m = std::max(last_m, fix.x_m);
        }
    }
    return last_m;
}

Finding finding_of(const AlignedRun& other, const AlignedRun& run, const std::string& structure,
                   LengthUnit unit) {
    const std::string& id = run.run.id.text;
    Finding finding{
        Severity::caution, at_run(other.run.id),
        fmt::format("The footage of this run goes just as far, {}, as that of {} would have to in "
                    "order to reach {}, and that of {} ends short: the two clips may be exchanged. "
                    "The length of this run would then be that of {}.",
                    length_words(other.length_m->value, unit), id, structure, id, id),
        fmt::format("Look in both clips which pipe they show, and correct footage in runs. Do not "
                    "price {} or {} before.",
                    other.run.id.text, id)};
    finding.where.file = "runs";
    finding.where.column = "footage";
    return finding;
}

}  // namespace

void tell_exchanged_footage(const Site& site, const Lines& lines, Findings& findings) {
    for (const AlignedRun& run : lines.runs) {
        const auto needed = needed_m(run, lines);
        if (!needed) continue;
        for (std::size_t r = 0; r < lines.runs.size(); ++r) {
            const AlignedRun& other = lines.runs[r];
            if (&other == &run || other.run.to || other.stops_short || !other.length_m) continue;
            const double off_m = std::abs(other.length_m->value - *needed);
            if (off_m > std::max(alike_m, alike * *needed)) continue;
            if (run.length_m->value < last_fix_m(site, static_cast<int>(r))) continue;
            findings.push_back(finding_of(
                other, run, lines.structures[static_cast<std::size_t>(*run.run.to)].id.text,
                site.job_unit));
        }
    }
}

}  // namespace sondeline::alignment
