#include "pipeline/outcome.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace sondeline {

namespace {

std::string structure_name(const Site& site, const std::optional<int>& index) {
    return index ? site.structures[static_cast<std::size_t>(*index)].id.text : std::string{};
}

// Empty: a blind end.
std::string far_end(const Site& site, const AlignedRun& aligned) {
    if (aligned.stops_short) return "stopped";
    return aligned.run.end_told ? structure_name(site, aligned.run.to) : "end not told";
}

std::string slope_words(const GradedRun& graded) {
    if (!graded.slope) return "withheld";
    return fmt::format("{:.2f} % ± {:.2f}", 100.0 * graded.slope->value,
                       100.0 * normal_95 * graded.slope->sd);
}

std::string belly_words(const GradedRun& graded) {
    if (!graded.bellies.empty()) return fmt::format("{}", graded.bellies.size());
    const auto seen = std::ranges::find_if(
        graded.limits, [](const DetectionLimit& limit) { return limit.sag_m.has_value(); });
    if (seen == graded.limits.end()) return "cannot be seen";
    return "none seen";
}

RunOutcome run_outcome(const Site& site, const AlignedRun& aligned, const GradedRun& graded) {
    RunOutcome run;
    run.id = aligned.run.id;
    run.from = structure_name(site, aligned.run.from);
    run.to = far_end(site, aligned);
    if (aligned.length_m) {
        run.length_m = aligned.length_m->value;
        run.length_lo95_m = aligned.length_m->lo95;
        run.length_hi95_m = aligned.length_m->hi95;
    }
    run.slope = slope_words(graded);
    run.bellies = belly_words(graded);
    run.placement = word(aligned.placement);
    return run;
}

}  // namespace

Outcome summarise(const Job& job, const Site& site, const Lines& lines, const Profiles& profiles,
                  const Appraisal& appraisal, const Findings& findings) {
    Outcome outcome;
    outcome.site = job.settings.site;
    outcome.job_unit = site.job_unit;
    for (std::size_t i = 0; i < lines.runs.size(); ++i) {
        outcome.runs.push_back(run_outcome(site, lines.runs[i], profiles.runs[i]));
    }
    for (const RecordCheck& check : appraisal.records) outcome.record_words.push_back(check.words);
    outcome.findings = findings;
    const bool imperfect = std::ranges::any_of(
        findings, [](const Finding& finding) { return finding.consequence != Consequence::none; });
    outcome.exit_code = imperfect ? 2 : 0;
    return outcome;
}

}  // namespace sondeline
